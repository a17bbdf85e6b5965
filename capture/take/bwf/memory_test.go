package bwf

import "bytes"

// memory is a file in memory.
type memory []byte

func (m *memory) ReadAt(p []byte, at int64) (int, error) {
	return bytes.NewReader(*m).ReadAt(p, at)
}

func (m *memory) WriteAt(p []byte, at int64) (int, error) {
	if end := int(at) + len(p); end > len(*m) {
		_ = m.Truncate(int64(end))
	}
	return copy((*m)[at:], p), nil
}

func (m *memory) Truncate(size int64) error {
	for int64(len(*m)) < size {
		*m = append(*m, 0)
	}
	*m = (*m)[:size]
	return nil
}

func (m *memory) Sync() error  { return nil }
func (m *memory) Close() error { return nil }
