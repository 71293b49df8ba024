-- Tints: a share of the paint stirred into a white, which is named as what it
-- lies in.
ALTER TABLE measure ADD COLUMN share_pct REAL;
