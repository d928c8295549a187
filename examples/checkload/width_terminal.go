//go:build linux || darwin

package main

import (
	"os"
	"syscall"
	"unsafe"
)

// terminalWidth returns the columns of a terminal, or 0 where it does not say.
func terminalWidth(f *os.File) int {
	var size struct{ rows, columns, x, y uint16 }
	_, _, no := syscall.Syscall(syscall.SYS_IOCTL, f.Fd(), syscall.TIOCGWINSZ, uintptr(unsafe.Pointer(&size)))
	if no != 0 {
		return 0
	}
	return int(size.columns)
}
