// Package film answers how light fares in layers of paint: the colour of coats
// over a ground, of mixtures, and of a fluorescent coat over its base, and how
// far each answer can be trusted.
package film
