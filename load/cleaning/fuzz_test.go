package cleaning_test

import (
	"testing"

	"example.com/moistheat/load/cleaning"
)

// Whatever decodes is judged without a panic, and nothing that is judged is an internal fault.
func FuzzDecode(f *testing.F) {
	for _, text := range []string{washer, manual, bath, `{}`} {
		f.Add(document(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		b, err := cleaning.Decode(data)
		if err != nil {
			return
		}
		if err := b.Validate(); err != nil {
			t.Fatalf("decoded, and not valid: %v", err)
		}
		for _, finding := range cleaning.Check(b, cleaning.DefaultLimits()) {
			if finding.Outcome.String() == "internal" {
				t.Fatalf("%s has no answer", finding.Rule)
			}
		}
	})
}
