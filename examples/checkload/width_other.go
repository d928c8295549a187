//go:build !linux && !darwin

package main

import "os"

// terminalWidth returns 0: the usual width.
func terminalWidth(*os.File) int { return 0 }
