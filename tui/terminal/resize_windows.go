package terminal

// Resized tells the size once: changes of it come with the keys here.
func (t *Terminal) Resized(_ <-chan struct{}, tell func(w, h int)) {
	if w, h, err := t.Size(); err == nil {
		tell(w, h)
	}
}
