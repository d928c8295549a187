package cycle

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"slices"

	"example.com/moistheat/units"
)

// Digest returns the SHA-256, in hexadecimal, of what the sensors read: the times of the
// samples and the readings of every channel, with unit and place. When the trace began,
// what its sensors are called, how accurate they are and the order of the channels do not
// count, so that a copy is found under another name. No two cycles read the same
// throughout; a copy in another unit is not found. A trace without samples has no digest.
func (t *Trace) Digest() string {
	if t == nil || len(t.Time.Values) == 0 {
		return ""
	}
	parts := []string{column(fmt.Sprint(t.Time.Unit), t.Time.Values)}
	for i := range t.Temperatures {
		parts = append(parts, readings(&t.Temperatures[i]))
	}
	for i := range t.AbsolutePressures {
		parts = append(parts, "absolute "+readings(&t.AbsolutePressures[i]))
	}
	for i := range t.GaugePressures {
		parts = append(parts, "gauge "+readings(&t.GaugePressures[i]))
	}
	slices.Sort(parts[1:])
	sum := sha256.New()
	for _, p := range parts {
		sum.Write(binary.BigEndian.AppendUint64(nil, uint64(len(p))))
		sum.Write([]byte(p))
	}
	return hex.EncodeToString(sum.Sum(nil))
}

func readings[U, A units.Unit](c *Channel[U, A]) string {
	return column(string(c.Place)+" "+fmt.Sprint(c.Unit), c.Values)
}

// column writes numbers so that different ones give different bytes.
func column(head string, values []float64) string {
	out := append(make([]byte, 0, len(head)+1+8*len(values)), head+"\x00"...)
	for _, v := range values {
		out = binary.BigEndian.AppendUint64(out, math.Float64bits(v))
	}
	return string(out)
}
