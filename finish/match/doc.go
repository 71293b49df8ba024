// Package match answers what can be built from the shelf for a wanted colour:
// one article, a mixture, or coats over the ground.
package match
