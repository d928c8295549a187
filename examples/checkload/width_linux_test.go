package main

import (
	"os"
	"syscall"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// On a terminal lines are as wide as it is, or as COLUMNS says.
func TestWidthOfTheTerminal(t *testing.T) {
	f, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skip("there is no terminal to open:", err)
	}
	defer f.Close()
	size := struct{ rows, columns, x, y uint16 }{24, 101, 0, 0}
	_, _, no := syscall.Syscall(syscall.SYS_IOCTL, f.Fd(), syscall.TIOCSWINSZ, uintptr(unsafe.Pointer(&size)))
	require.Zero(t, no)
	for columns, want := range map[string]int{"": 101, "66": 66, "wide": 101, "-1": 101} {
		t.Setenv("COLUMNS", columns)
		assert.Equal(t, want, widthOf(f), columns)
	}
	null, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	require.NoError(t, err)
	defer null.Close()
	t.Setenv("COLUMNS", "")
	assert.Zero(t, widthOf(null), "a device that has no width")
}
