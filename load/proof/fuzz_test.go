package proof_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat"
	"example.com/moistheat/load/proof"
)

// A file read as a log never panics, and what is appended to it is found again.
func FuzzLog(f *testing.F) {
	whole := kept(f, document(1), document(2))
	f.Add(whole)
	f.Add(whole[:len(whole)-7])
	f.Add([]byte("\n\n{}\n"))
	f.Fuzz(func(t *testing.T, file []byte) {
		var log proof.Log
		good := 0
		for line, err := range log.Read(bytes.NewReader(file)) {
			if err == nil {
				good++
				assert.NotZero(t, line.N)
			}
		}
		out := &memory{data: bytes.Clone(file)}
		if err := log.Append(out, noon, []byte(document(3))); err != nil {
			return // the number of its last line is the last there is
		}
		again := 0
		last := ""
		for line, err := range log.Read(bytes.NewReader(out.data)) {
			if err == nil {
				again++
				last = line.Document
			}
		}
		assert.Equal(t, good+1, again)
		assert.Equal(t, document(3), last)
	})
}

// A proof that can be read can be verified and printed, whatever it says.
func FuzzProof(f *testing.F) {
	for _, s := range []proof.Subject{{Record: "load-1"}, {Patient: key}} {
		p := made(f, clinic(f), s)
		p.Loads[0].Report = `{"format":"moistheat.report/1"}` // short ones are changed more
		data, err := json.Marshal(p)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := proof.Decode(data)
		if err != nil {
			return
		}
		for line := range strings.Lines(p.Text()) {
			line = strings.TrimSuffix(line, "\n")
			assert.Equal(t, moistheat.Visible(line), line)
		}
		_ = p.Verify(nil)
	})
}
