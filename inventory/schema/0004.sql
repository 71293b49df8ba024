-- A chart of 24 patches in a reference's picture, as "x,y,w,h" in pixels.
ALTER TABLE reference ADD COLUMN chart TEXT;
