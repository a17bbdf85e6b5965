package presets

import (
	"errors"
	"io"
	"os"
)

// private is who may read what is kept: its owner.
const private = 0o600

// maxFile bounds what is read: no file of ours comes near.
const maxFile = 1 << 20

func readBounded(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err == nil && len(raw) > maxFile {
		err = errors.New("the file is larger than 1 MiB")
	}
	return raw, err
}
