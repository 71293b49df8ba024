package palette

// Rect is a rectangle of the upright picture in pixels: its left top corner,
// counted from 0,0, its width and its height.
type Rect struct{ X, Y, W, H int }
