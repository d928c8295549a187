// Package vocabulary holds the tests of the root package, whose folder has one Go
// file only.
package vocabulary
