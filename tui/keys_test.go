package tui

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/tui/canvas"
	"rollready/tui/keys"
)

// tablesOf gives the table of every moment worth a look, by its name.
func tablesOf(t *testing.T) map[string]keys.Table {
	all := map[string]keys.Table{}
	for name, moment := range screenCases() {
		r := moment.at(t, func(*fakeEngine, *Options) {}, 80, 24)
		all[name] = slices.Concat(r.all[r.open].Keys(), r.tables[0], r.tables[1])
	}
	return all
}

// TestHelpNamesEveryKey: what is answered is written, as a symbol or in the
// words beside it, and no key means two things at once.
func TestHelpNamesEveryKey(t *testing.T) {
	for name, table := range tablesOf(t) {
		taken := map[string]string{}
		for _, b := range table {
			require.NotEmpty(t, b.Does, name)
			require.True(t, b.Press != "" && b.Do != nil || b.Shown == "mouse", "%s: %s", name, b.Does)
			for _, key := range b.Keys() {
				require.Empty(t, taken[key], "%s: %s is also %s", name, key, b.Does)
				taken[key] = b.Does
				if b.Shown == "1 to 8" {
					require.Contains(t, b.Does, key+" ")
					continue
				}
				require.Contains(t, strings.Fields(b.Title()+" "+strings.Trim(b.Does, ";")), keys.Symbol(key), "%s: %s", name, b.Does)
			}
		}
	}
}

// TestOneKeyForOneAction: what is called the same in the last row, on whatever
// screen, is done by the same key.
func TestOneKeyForOneAction(t *testing.T) {
	by := map[string]string{}
	for name, table := range tablesOf(t) {
		for _, b := range table {
			word := b.Label()
			if word == "" {
				continue
			}
			if by[word] == "" {
				by[word] = b.Press
			}
			if word == "choose" || word == "stop" || word == "step" || word == "hear" || word == "back" || word == "take" {
				continue // of rows and of controls, of a trial and of a sequence
			}
			require.Equal(t, by[word], b.Press, "%s: %s", name, word)
		}
	}
}

// TestTheLastRowAnswersTheMouse: each word does what its key does.
func TestTheLastRowAnswersTheMouse(t *testing.T) {
	for name, moment := range screenCases() {
		r := moment.at(t, func(*fakeEngine, *Options) {}, 200, 60)
		if r.desk.Prompt != nil || r.desk.Question != nil {
			continue
		}
		for _, b := range slices.Concat(r.all[r.open].Keys(), r.tables[1]) {
			if b.Label() == "" {
				continue
			}
			before, _, shown := strings.Cut(strings.Split(look(r), "\n")[59], b.Title()+" "+b.Label())
			require.True(t, shown, "%s: %s", name, b.Label())
			require.NotNil(t, r.frame.Under(canvas.Width(before), 59), "%s: %s", name, b.Label())
		}
	}
	r := still(t, nil, 120, 40)
	x, y := find(t, r, "keys   t theme")
	grab(r, x, y)
	require.True(t, r.help)
	r = still(t, nil, 120, 40)
	x, y = find(t, r, "g h l e choose")
	grab(r, x+2, y)
	shows(t, r, "▸High-pass")
	x, y = find(t, r, "slope")
	grab(r, x, y)
	require.False(t, chainOf(r).HighPass.On())
}
