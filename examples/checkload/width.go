package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
)

// narrowest is how wide the lines of a text are at least.
const narrowest = 40

// widthOf returns how wide lines are on w, by COLUMNS or else by the terminal, or 0 where it is
// no terminal: what is kept in files looks the same wherever it was printed.
func widthOf(w io.Writer) int {
	if !terminal(w) {
		return 0
	}
	if n, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && n > 0 {
		return n
	}
	f, _ := w.(*os.File) // a terminal is one
	return terminalWidth(f)
}

// wide has lines of the width that was asked for by a flag, if one was, or else of the terminal.
func (p *program) wide(flag string) error {
	if flag != "" {
		n, err := strconv.Atoi(flag)
		switch {
		case err != nil || n < narrowest:
			return fmt.Errorf("-width %.20q: want a number of columns from %d on", flag, narrowest)
		case p.json:
			return errors.New("-width is for text, not for -json")
		}
		p.width = n
	}
	if p.width != 0 {
		p.language = p.language.Wide(p.width)
	}
	return nil
}

// line writes a text of a list: in lines of the width that was asked for, or as one.
func (p *program) line(first, rest, text string) string {
	if p.width == 0 {
		return first + text + "\n"
	}
	return p.language.Wrap(first, rest, text)
}
