package share

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	gossh "golang.org/x/crypto/ssh"

	"rollready/presets/whole"
)

// private is who may read the host key: its owner.
const private fs.FileMode = 0o600

// maxKeys bounds the file of keys, in bytes.
const maxKeys = 64 << 10

// hostKey reads the host key, or makes it at the first time.
func hostKey(path string) (gossh.Signer, error) {
	raw, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		raw, err = makeHostKey(path)
	}
	if err != nil {
		return nil, err
	}
	signer, err := gossh.ParsePrivateKey(raw)
	if err != nil {
		return nil, fmt.Errorf("%s: %w: move it away, and a new one is made", path, err)
	}
	return signer, os.Chmod(path, private)
}

func makeHostKey(path string) ([]byte, error) {
	_, key, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return nil, err
	}
	block, err := gossh.MarshalPrivateKey(key, "rollready")
	if err != nil {
		return nil, err
	}
	if err := whole.Folder(filepath.Dir(path)); err != nil {
		return nil, err
	}
	raw := pem.EncodeToMemory(block)
	if err := whole.Create(path, raw, private); err != nil {
		if errors.Is(err, fs.ErrExist) { // another program was first
			return os.ReadFile(path)
		}
		return nil, err
	}
	return raw, nil
}

// readKeys reads the public keys of a file, one a line as ssh keeps them; what
// is no key is passed over.
func readKeys(path string) (keys []gossh.PublicKey, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, maxKeys))
	if err != nil {
		return nil, err
	}
	for line := range bytes.Lines(raw) {
		if key, _, _, _, err := gossh.ParseAuthorizedKey(line); err == nil {
			keys = append(keys, key)
		}
	}
	return keys, nil
}

// noKeys says what to do where nobody may look.
func noKeys(path string, err error) error {
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("share: keys: %w", err)
	}
	return fmt.Errorf("share: nobody may look yet: put the phone's public key, one a line, into %s", path)
}
