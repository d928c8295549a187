// Package quit ends a command for an error.
package quit

import (
	"fmt"
	"os"
)

// On ends the command for an error.
func On(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// Or returns a value, or ends the command for an error.
func Or[T any](v T, err error) T {
	On(err)
	return v
}

// Write writes a file.
func Write(name string, text []byte) { On(os.WriteFile(name, text, 0o644)) }
