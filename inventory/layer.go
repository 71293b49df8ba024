package inventory

import "strconv"

// String writes a layer as the tables do: "W1:3", or "W1" where the number of
// coats is not said.
func (l RecipeLayer) String() string {
	if l.Coats == 0 {
		return l.Code
	}
	return l.Code + ":" + strconv.Itoa(l.Coats)
}
