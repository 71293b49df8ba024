package inventory

import (
	"errors"
	"time"
	_ "time/tzdata" // a phone or a Windows laptop may have no zone files
)

// loadZone finds a time zone by its IANA name; "" is UTC. The machine's own
// zone has no name that means the same elsewhere, so "Local" is refused.
func loadZone(name string) (*time.Location, error) {
	if name == "Local" {
		return nil, errors.New("not a time zone's name")
	}
	return time.LoadLocation(name)
}
