package load

import "testing"

func BenchmarkValidate(b *testing.B) {
	for name, data := range records(b) {
		rec, err := Decode(data)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := rec.Validate(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
