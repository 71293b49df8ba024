// Package inventory answers what is on the shelf and what a job has stated: the one workroom file.
package inventory
