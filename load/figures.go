package load

import (
	_ "embed"

	"example.com/moistheat"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// figuresDoc holds the figures of this package's own rules.
type figuresDoc struct {
	Format        string                                  `json:"format"`
	PackGap       moistheat.Figure[units.LengthUnit]      `json:"packGap"`
	WallGap       moistheat.Figure[units.LengthUnit]      `json:"wallGap"`
	TrayGap       moistheat.Figure[units.LengthUnit]      `json:"trayGap"`
	Overlap       moistheat.Figure[units.RatioUnit]       `json:"overlap"`
	ChamberFill   moistheat.Figure[units.RatioUnit]       `json:"chamberFill"`
	Condensate    condensateFigures                       `json:"condensate"`
	IncubatorLow  moistheat.Figure[units.TemperatureUnit] `json:"incubatorLow"`
	IncubatorHigh moistheat.Figure[units.TemperatureUnit] `json:"incubatorHigh"`
	Cooling       moistheat.Figure[units.DurationUnit]    `json:"cooling"` // from the opening of the door, at least
}

// condensateFigures say how much steam condenses on cold steel: its heat capacity,
// one number, and the latent heat of saturated steam at rising temperatures.
type condensateFigures struct {
	SteelKJPerKgKelvin []float64        `json:"steelKJPerKgKelvin"`
	LatentCelsius      []float64        `json:"latentCelsius"`
	LatentKJPerKg      []float64        `json:"latentKJPerKg"`
	Source             moistheat.Source `json:"source"`
}

//go:embed data/figures.json
var figuresData []byte

var figuresValue lazy.Value[*figuresDoc]

func figures() *figuresDoc {
	return figuresValue.Get(func() *figuresDoc {
		return strictjson.MustRead[figuresDoc](figuresData, "")
	})
}
