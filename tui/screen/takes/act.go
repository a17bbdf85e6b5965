package takes

import (
	"slices"
	"time"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/dailies"
	"rollready/capture/take"
	"rollready/presets"
	"rollready/tui/desk"
	"rollready/tui/format"
)

// change alters what is known of a take; undo brings circle and note back.
func (t *takeList) change(f take.Take, said string, alter func(*take.Take)) tea.Cmd {
	rec := t.desk.Rig.Recorder()
	old := desk.Undo{What: f.Title() + " is as before", Do: func() error {
		_, err := rec.Change(f.Path, func(n *take.Take) { n.Circled, n.Note = f.Circled, f.Note })
		return err
	}}
	return t.run(func() (takesMsg, error) {
		_, err := rec.Change(f.Path, alter)
		return takesMsg{said: said, undo: old}, err
	})
}

func (t *takeList) noteRolling(f take.Take) tea.Cmd {
	return t.desk.Ask("Note on "+f.Title()+":", f.Note, func(text string) (tea.Cmd, error) {
		t.desk.Rig.Recorder().Note(text)
		t.desk.Say("Noted")
		return nil, nil
	})
}

func (t *takeList) remove(found take.Found) tea.Cmd {
	f := found.Take
	if t.rolling(f) {
		t.desk.Say(f.Title() + " is rolling: stop it first (ctrl-r)")
		return nil
	}
	if t.desk.IsPlaying(f) {
		t.desk.Say(f.Title() + " is being played: esc first")
		return nil
	}
	rec := t.desk.Rig.Recorder()
	return t.run(func() (takesMsg, error) {
		gone, err := rec.Delete(f.Path)
		return takesMsg{said: "Deleted " + f.Title() + "; u brings it back", want: f.Path,
			undo: desk.Undo{What: f.Title() + " is back", Do: func() error { return rec.Undo(gone) }}}, err
	})
}

func (t *takeList) takeBack() tea.Cmd {
	u := t.undo
	if u.Do == nil {
		t.desk.Say("Nothing to undo; what was deleted earlier: rollready take undelete")
		return nil
	}
	t.undo = desk.Undo{}
	return t.run(func() (takesMsg, error) { return takesMsg{said: u.What}, u.Do() })
}

func (t *takeList) report(day time.Time) tea.Cmd {
	rec := t.desk.Rig.Recorder()
	return t.run(func() (takesMsg, error) {
		page, err := rec.Report(day)
		return takesMsg{said: "Sound report: " + format.ShortPath(page) + ", and .csv beside it"}, err
	})
}

func (t *takeList) play(f take.Take, raw bool) tea.Cmd {
	if t.desk.IsPlaying(f) && t.desk.Playing.Raw == raw {
		return t.desk.Back()
	}
	return t.desk.PlayTake(f, raw)
}

// beside plays a take against the first of its clips, or swaps the two.
func (t *takeList) beside(f take.Take) tea.Cmd {
	if t.desk.IsPlaying(f) && t.desk.Rig.Swap() {
		return nil
	}
	return t.besideClip(f, 0)
}

// besideWord is the word for it in the last row, none before cards were read.
func (t *takeList) besideWord() string {
	switch {
	case t.list.At >= len(t.items):
	case t.desk.IsPlaying(t.items[t.list.At].Take) && t.desk.Playing.Clip != "":
		return "swap"
	case len(t.pairs.Of(t.items[t.list.At].Take.Path)) > 0:
		return "beside clip"
	}
	return ""
}

// nextClip goes on to the next clip of the take.
func (t *takeList) nextClip(f take.Take) tea.Cmd {
	next := 0
	if clips := t.pairs.Of(f.Path); t.desk.IsPlaying(f) {
		next = 1 + slices.IndexFunc(clips, func(p dailies.Pair) bool { return p.Clip == t.desk.Playing.Clip })
	}
	return t.besideClip(f, next)
}

func (t *takeList) besideClip(f take.Take, number int) tea.Cmd {
	clips := t.pairs.Of(f.Path)
	switch {
	case t.pairs == nil:
		t.desk.Say("No cards were read yet: rollready sync CARD finds the clips of these takes")
	case len(clips) == 0:
		t.desk.Say("No clip of " + f.Title() + " on the cards that were read")
	default:
		return t.desk.PlayBeside(f, clips[number%len(clips)])
	}
	return nil
}

func (t *takeList) askScene() tea.Cmd {
	return t.desk.Ask("Scene of the next take:", t.desk.Settings.Recording.Scene, func(text string) (tea.Cmd, error) {
		if err := take.CheckScene(text); err != nil {
			return nil, err
		}
		return t.setScene(text), nil
	})
}

// setScene changes the scene; the list's answer brings its next number.
func (t *takeList) setScene(scene string) tea.Cmd {
	t.desk.Change(func(s *presets.Settings) { s.Recording.Scene = scene })
	return t.run(func() (takesMsg, error) { return takesMsg{said: "The next take is of scene " + scene}, nil })
}
