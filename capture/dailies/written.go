package dailies

import "path/filepath"

// mark is what is kept of a file that was written.
type mark struct {
	Signature string `json:"signature"`
	State     string `json:"state"` // key of the file as it was left
}

// ours gives the mark of a file that was written by this job and left alone.
func (s shelf) ours(path string) (m mark, ok bool) {
	state, _, err := keyOf(path)
	full, errAbs := filepath.Abs(path)
	ok = err == nil && errAbs == nil && s.load(hash(full), "written", &m) && m.State == state
	return m, ok
}

// written tells whether a file lies there already as it would be written.
func (s shelf) written(o Output) bool {
	m, ok := s.ours(o.Path)
	return ok && m.Signature == o.signature && m.Signature != ""
}

func (s shelf) noteWritten(o Output) error {
	state, _, err := keyOf(o.Path)
	if err != nil {
		return err
	}
	full, err := filepath.Abs(o.Path)
	if err != nil {
		return err
	}
	return s.save(hash(full), "written", mark{o.signature, state})
}
