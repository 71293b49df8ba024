package colour

// InWords says how the sample differs from the target: "darker, a little greener".
func InWords(target, sample Lab) string {
	if Difference(target, sample) < 1 {
		return "no difference you would see side by side"
	}
	if sample.L < target.L {
		return "darker"
	}
	return "lighter"
}
