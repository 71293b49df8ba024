package match

import (
	"fmt"

	"undercoat/finish/film"
	"undercoat/palette/colour"
)

// highVis says whether the daylight colour of coats with a fluorescent on top
// is plausible beside high-visibility clothing of its class, with the source of
// the box; "" where no fluorescent is on top. It is no certificate.
func highVis(pots []pot, day colour.XYZ) string {
	if len(pots) == 0 || pots[len(pots)-1].role != Glow || !pots[len(pots)-1].known {
		return ""
	}
	class := pots[len(pots)-1].glow.Class
	box, known := film.HighVisBoxOf(class)
	if !known {
		return fmt.Sprintf("plausibility: no high-visibility box for that hue (%s)", class)
	}
	inside, bright := box.Holds(day)
	lies, lit := "inside", "reaches"
	if !inside {
		lies = "outside"
	}
	if !bright {
		lit = "stays under"
	}
	x, y := day.Chromaticity()
	return fmt.Sprintf("plausibility, no certificate: x %.3f y %.3f lies %s the box of %s high-visibility clothing, luminance factor %.2f %s its least %.2f (%s)",
		x, y, lies, box.Name, day.Y, lit, box.Least, film.HighVisSource)
}
