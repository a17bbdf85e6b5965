package verdict

import (
	"fmt"
	"strconv"
	"strings"
)

// Role is what a track of a recording is for.
type Role string

// The roles: the sound that went through the chain, the sound as the interface
// gave it, and the same at a lower level.
const (
	Processed Role = "processed"
	Raw       Role = "input"
	Safety    Role = "safety"
)

// Where is what of a signal a finding is about. The zero value is all of it.
type Where struct {
	Role     Role
	Channels []int // from 1
}

// On names channels, counted from 1.
func On(channels ...int) Where { return Where{Channels: channels} }

// Signal is a number of channels that are judged together: all of a recording,
// or its tracks of one role.
type Signal struct {
	Channels int
	Role     Role
	Columns  []int // which channel of the recording each is, from 1; nil: 1, 2, …
}

// Name gives a channel, counted from 0, as findings name it: a signal of one
// channel and no role has none.
func (s Signal) Name(c int) Where {
	switch {
	case s.Columns != nil:
		return Where{s.Role, []int{s.Columns[c]}}
	case s.Channels == 1:
		return Where{Role: s.Role}
	}
	return Where{s.Role, []int{c + 1}}
}

// All gives the whole of a signal.
func (s Signal) All() Where { return Where{Role: s.Role} }

// Which gives the channels of which something is true, and whether it is of
// any.
func (s Signal) Which(is func(c int) bool) (w Where, any bool) {
	w.Role = s.Role
	for c := range s.Channels {
		if is(c) {
			any = true
			w.Channels = append(w.Channels, s.Name(c).Channels...)
		}
	}
	return w, any
}

// noun is what a channel is called: "channel", or with its role "input track".
func (w Where) noun() string {
	if w.Role == "" {
		return "channel"
	}
	return string(w.Role) + " track"
}

// list is "channel 1", "channels 1 and 3", "the input track"; "" for the whole
// of a signal without a role.
func (w Where) list() string {
	switch len(w.Channels) {
	case 0:
		if w.Role == "" {
			return ""
		}
		return "the " + w.noun()
	case 1:
		return w.noun() + " " + strconv.Itoa(w.Channels[0])
	}
	return w.noun() + "s " + numbers(w.Channels)
}

// numbers is "1 and 3" or "1, 3 and 4".
func numbers(list []int) string {
	words := make([]string, len(list))
	for i, n := range list {
		words[i] = strconv.Itoa(n)
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// of and on are " of channel 1", " on channel 1", or nothing.
func (w Where) of() string { return w.with(" of ") }
func (w Where) on() string { return w.with(" on ") }

func (w Where) with(word string) string {
	if list := w.list(); list != "" {
		return word + list
	}
	return ""
}

// subject begins a sentence: "Channels 1 and 3 carry", "The input track carries",
// or, of the whole, with its own noun: "The input carries".
func (w Where) subject(whole, verb string) string {
	list := w.list()
	if list == "" {
		list = whole
	}
	if len(w.Channels) < 2 {
		verb = third(verb)
	}
	return capital(list) + " " + verb
}

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// third is a verb as he, she or it does it.
func third(verb string) string {
	words := strings.SplitN(verb, " ", 2)
	switch {
	case words[0] == "are":
		words[0] = "is"
	case strings.HasSuffix(words[0], "y"):
		words[0] = words[0][:len(words[0])-1] + "ies"
	case strings.HasSuffix(words[0], "ch"):
		words[0] += "es"
	default:
		words[0] += "s"
	}
	return strings.Join(words, " ")
}

func times(n int64) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}
