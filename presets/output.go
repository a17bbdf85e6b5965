package presets

import "errors"

// Output names an output of the sound system: by what people call it, and by
// what tells it from another of that name.
type Output struct {
	Name string // "" for none
	Key  string // the device's Key, "id:BACKEND:ID"; "" not known
	Twin bool   // another of its name is there; of one that was kept: was there then
}

// Is tells whether an output that is there now is the one that was kept. Its key
// tells it; where it was plugged in elsewhere since, or its key was never kept,
// its name does, if no other output bears it, or bore it then.
func (o Output) Is(now Output) bool {
	return o.called(now) && (o.Key == now.Key || !o.Twin && !now.Twin)
}

// MayBe tells whether an output that is there now could be the one kept.
func (o Output) MayBe(now Output) bool {
	return o.called(now) && (o.Key == now.Key || o.Key == "" || !now.Twin)
}

func (o Output) called(now Output) bool { return o.Name != "" && o.Name == now.Name }

// Words name an output in text: by its key as well, where its name does not tell
// it from another.
func (o Output) Words() string {
	if o.Twin && o.Key != "" {
		return o.Name + " (" + o.Key + ")"
	}
	return o.Name
}

func (o Output) check() error { return errors.Join(checkTexts(maxPath, o.Name, o.Key)) }
