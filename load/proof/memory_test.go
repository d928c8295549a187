package proof_test

import (
	"errors"
	"io"
)

// memory is a file in memory.
type memory struct {
	data []byte
	at   int64
	room int  // bytes that it takes; 0: all
	deaf bool // it cannot be read
}

func (m *memory) Read(p []byte) (int, error) {
	if m.deaf {
		return 0, errors.New("input/output error")
	}
	if m.at >= int64(len(m.data)) {
		return 0, io.EOF
	}
	n := copy(p, m.data[m.at:])
	m.at += int64(n)
	return n, nil
}

func (m *memory) Write(p []byte) (n int, err error) {
	if m.room > 0 && len(p) > m.room {
		p, err = p[:m.room], errors.New("no space left on device")
	}
	m.data = append(m.data[:m.at], p...)
	m.at = int64(len(m.data))
	return len(p), err
}

func (m *memory) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekCurrent:
		offset += m.at
	case io.SeekEnd:
		offset += int64(len(m.data))
	}
	m.at = offset
	return offset, nil
}
