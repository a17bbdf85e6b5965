// Package keys is the table from which keys are answered, listed and named.
//
// A screen gives one [Table]. What a key does, what the help says of it, the
// word in the last row and what a press of the mouse on that word does all come
// from the same [Binding], so that none of them can say what is not so.
package keys

import (
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"
)

// Binding is one thing that can be done, and the keys that do it.
type Binding struct {
	Press string                   // keystrokes, with blanks between: "up down", "ctrl+r"; "" where only the mouse does it
	Shown string                   // how they are written, "" as they are named; fewer: the rest stands in Does
	Does  string                   // for the help
	Word  string                   // for the last row, "" not there
	Now   func() string            // the word as things stand, in place of Word
	Do    func(key string) tea.Cmd // with the key that was pressed

	keys, symbols []string // as first asked for
}

// Keys are the keystrokes.
func (b *Binding) Keys() []string {
	if b.keys == nil {
		b.keys = strings.Fields(b.Press)
	}
	return b.keys
}

// Symbols are the keystrokes as they are written, in their order; there may be
// fewer.
func (b *Binding) Symbols() []string {
	if b.symbols == nil && b.Shown != "" {
		b.symbols = strings.Fields(b.Shown)
	}
	if b.symbols == nil {
		for _, k := range b.Keys() {
			b.symbols = append(b.symbols, Symbol(k))
		}
	}
	return b.symbols
}

// Title is the symbols in a row.
func (b *Binding) Title() string { return strings.Join(b.Symbols(), " ") }

// Label is the word for the last row now, "" if it is not named there.
func (b *Binding) Label() string {
	if b.Now != nil {
		return b.Now()
	}
	return b.Word
}

// Table lists all that can be done, the most needed first.
type Table []Binding

// Do answers a key; false: it means nothing here.
func (t Table) Do(key string) (cmd tea.Cmd, done bool) {
	for i := range t {
		if t[i].Do != nil && slices.Contains(t[i].Keys(), key) {
			return t[i].Do(key), true
		}
	}
	return nil, false
}

// symbols are names that are written otherwise.
var symbols = map[string]string{"up": "↑", "down": "↓", "left": "←", "right": "→", "pgup": "PgUp", "pgdown": "PgDn",
	"home": "Home", "end": "End", "shift+tab": "shift-tab", "-": "−"}

// Symbol is how a keystroke is written.
func Symbol(key string) string {
	if s, ok := symbols[key]; ok {
		return s
	}
	return strings.Replace(key, "ctrl+", "ctrl-", 1)
}

// Do makes something that needs no command an answer to keys.
func Do(do func(key string)) func(string) tea.Cmd {
	return func(key string) tea.Cmd { do(key); return nil }
}

// Then makes something that needs neither key nor command an answer to one.
func Then(do func()) func(string) tea.Cmd { return func(string) tea.Cmd { do(); return nil } }

// Cmd makes something that needs no key an answer to one.
func Cmd(do func() tea.Cmd) func(string) tea.Cmd { return func(string) tea.Cmd { return do() } }
