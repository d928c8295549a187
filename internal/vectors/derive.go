package vectors

import "example.com/moistheat/load/loadtest"

// Derived is a file that [Derive] makes.
type Derived struct {
	Name string
	File *loadtest.File
}

// Derive makes the vectors that follow from others.
func Derive(c *loadtest.Corpus) ([]Derived, error) {
	return nil, nil
}
