package load

import (
	_ "embed"

	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// figuresDoc holds the figures of this package's own rules.
type figuresDoc struct {
	Format        string                        `json:"format"`
	PackGap       limit[units.LengthUnit]       `json:"packGap"`
	LeakRate      limit[units.PressureRateUnit] `json:"leakRate"`
	IncubatorLow  limit[units.TemperatureUnit]  `json:"incubatorLow"`
	IncubatorHigh limit[units.TemperatureUnit]  `json:"incubatorHigh"`
}

//go:embed data/figures.json
var figuresData []byte

var figuresValue lazy.Value[*figuresDoc]

func figures() *figuresDoc {
	return figuresValue.Get(func() *figuresDoc {
		doc, err := strictjson.NewDecoder[figuresDoc]().Decode(figuresData, strictjson.Default())
		if err != nil {
			panic(err) // the file is part of the program; a test reads it
		}
		return doc
	})
}
