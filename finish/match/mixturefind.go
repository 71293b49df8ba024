package match

// mixtures adds mixtures of the paints nothing speaks against.
func (f *finder) mixtures() {}
