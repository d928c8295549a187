// Package clinic has the catalogue of the invented clinic of the demonstrations, and one of its loads.
package clinic

import (
	"embed"
	"fmt"
)

//go:embed catalogue.json log.json
var files embed.FS

// Catalogue returns the document of the catalogue.
func Catalogue() []byte { return read("catalogue.json") }

// Load returns the record of a load as the clinic writes it: it refers to the catalogue.
func Load() []byte { return read("log.json") }

func read(name string) []byte {
	data, err := files.ReadFile(name)
	if err != nil {
		panic(fmt.Sprintf("clinic: %s is embedded: %v", name, err))
	}
	return data
}
