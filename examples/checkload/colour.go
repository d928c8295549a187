package main

import (
	"io"
	"os"
	"strings"
)

// coloured reports whether w shows colours, and whoever watches wants them.
func coloured(w io.Writer) bool {
	return terminal(w) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}

// colours are the escapes of words, by what a line begins with.
var colours = []struct{ begins, word, escape string }{
	{"Verdict: RELEASE", "RELEASE", "\x1b[1;32m"},
	{"Verdict: QUARANTINE", "QUARANTINE", "\x1b[1;33m"},
	{"Verdict: REJECT", "REJECT", "\x1b[1;31m"},
	{"WARNING:", "WARNING:", "\x1b[1;33m"},
}

// colour colours the verdict and the warnings of a text. The words say the same without.
func colour(text string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		for _, c := range colours {
			if strings.HasPrefix(strings.TrimLeft(line, " "), c.begins) {
				line = strings.Replace(line, c.word, c.escape+c.word+"\x1b[0m", 1)
				break
			}
		}
		b.WriteString(line)
	}
	return b.String()
}
