// Package colour answers what an eye sees: spectra, lights, CIELAB, colour
// difference, plausible reflectances, names.
package colour
