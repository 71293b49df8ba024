// Package palette turns pictures into colours: patches, regions, materials.
package palette
