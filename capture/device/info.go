package device

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"rollready/capture"
	"rollready/presets"
)

// Info describes an input or output. Backend and ID change when a device is
// plugged in elsewhere, Name does not: keep all three.
type Info struct {
	Backend  string // "pulseaudio", "alsa", "wasapi", "coreaudio"
	ID       string
	Name     string
	Default  bool
	Twin     bool   // another of the same name is there
	Mark     string // what its id has that the twin's has not
	Monitor  bool   // an input that carries what an output plays, not a microphone
	RatesHz  []int  // native sample rates; empty: any, or not asked
	Channels int    // most native channels; 0: any, or not asked
}

// Key is the choice that means exactly this device: "id:BACKEND:ID".
func (i Info) Key() string { return keyMark + i.Backend + ":" + i.ID }

// Output names an output, as it is kept.
func (i Info) Output() presets.Output {
	return presets.Output{Name: i.Name, Key: i.Key(), Twin: i.Twin}
}

// cutKey takes a Key apart.
func cutKey(key string) (backend, id string, ok bool) {
	rest, ok := strings.CutPrefix(key, keyMark)
	if !ok {
		return "", "", false
	}
	return strings.Cut(rest, ":")
}

const (
	keyMark = "id:"
	hexMark = "hex-" // an id that is no text, in hexadecimal
)

// Limits of what the chain and the meters are made for.
const (
	minRateHz = 44100
	maxRateHz = 192000
	anyRateHz = 48000 // where the device leaves it open
)

func (i *Info) addNative(rateHz, channels int) {
	if rateHz > 0 && !slices.Contains(i.RatesHz, rateHz) {
		i.RatesHz = append(i.RatesHz, rateHz)
	}
	i.Channels = max(i.Channels, channels)
}

// format is the device's native format where the meters can use it: 48 kHz if
// it is among several rates, and 48 kHz too where every native rate is out of
// range, converted by the sound system.
func (i Info) format() capture.Format {
	f := capture.Format{RateHz: anyRateHz, Channels: i.Channels}
	usable := slices.DeleteFunc(slices.Clone(i.RatesHz), func(hz int) bool { return hz < minRateHz || hz > maxRateHz })
	if len(usable) > 0 && !slices.Contains(usable, anyRateHz) {
		f.RateHz = slices.Min(usable)
	}
	if f.Channels == 0 {
		f.Channels = 2
	}
	return f
}

// standsIn tells whether this is no device but what PulseAudio offers where
// there is none: its dummy output and its monitor.
func (i Info) standsIn() bool {
	return i.Backend == "pulseaudio" && strings.HasPrefix(i.ID, "auto_null")
}

// plugin tells that this is one of ALSA's plugins, among them one that hears
// silence for ever: it is opened by its Key, but never listed nor taken for a
// device. ALSA's hardware has ids like ":0,0".
func (i Info) plugin() bool { return i.Backend == "alsa" && !strings.HasPrefix(i.ID, ":") }

// devices leaves the plugins out.
func devices(among []Info) []Info {
	return filter(among, func(i Info) bool { return !i.plugin() })
}

func printable(s string) bool {
	return s != "" && !strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsPrint(r) || r == unicode.ReplacementChar })
}

// errSeveral is found where a word could mean several devices.
var errSeveral = errors.New("could be")

// choose finds the device a person means: "" (the default), a Key, an id, or
// part of a name in any case. The whole name or id wins over a part, a
// microphone over a monitor.
func choose(d direction, choice string, among []Info) (Info, error) {
	if choice == "" {
		return chooseDefault(d, devices(among))
	}
	for _, i := range among {
		if i.Key() == choice {
			return i, nil
		}
	}
	among = devices(among)
	part := strings.ToLower(choice)
	for _, matches := range []func(Info) bool{
		func(i Info) bool { return i.ID == choice },
		func(i Info) bool { return strings.ToLower(i.Name) == part && !i.Monitor },
		func(i Info) bool { return strings.Contains(strings.ToLower(i.Name), part) && !i.Monitor },
		func(i Info) bool { return strings.Contains(strings.ToLower(i.Name), part) },
	} {
		switch found := filter(among, matches); len(found) {
		case 0:
		case 1:
			return found[0], nil
		default:
			return Info{}, fmt.Errorf("%s %q %w %s: write more of the name, or the id", d, choice, errSeveral, names(found))
		}
	}
	if len(among) == 0 {
		return Info{}, fmt.Errorf("%s %q: %w", d, choice, d.none())
	}
	return Info{}, fmt.Errorf("%s %q is not there: choose from %s", d, choice, names(among))
}

// chooseDefault never falls to a monitor: it would be a meter that looks
// alive and hears no microphone.
func chooseDefault(d direction, among []Info) (Info, error) {
	usable := filter(among, func(i Info) bool { return !i.Monitor })
	for _, i := range usable {
		if i.Default {
			return i, nil
		}
	}
	if len(usable) > 0 {
		return usable[0], nil
	}
	return Info{}, d.none()
}

// markTwins finds devices that bear the name of another.
func markTwins(found []Info) {
	for n := range found {
		i := &found[n]
		for _, o := range found {
			if o.Name == i.Name && o.ID != i.ID && !o.plugin() {
				i.Twin = true
				if mark := apart(i.ID, o.ID); len(mark) > len(i.Mark) {
					i.Mark = mark
				}
			}
		}
	}
}

// apart is what an id has that another has not: whole words of it, or all of it.
func apart(id, other string) string {
	cuts := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }
	words, others := strings.FieldsFunc(id, cuts), strings.FieldsFunc(other, cuts)
	from, n := 0, min(len(words), len(others))
	for from < n && words[from] == others[from] {
		from++
	}
	to := 0
	for to < n-from && words[len(words)-1-to] == others[len(others)-1-to] {
		to++
	}
	if from >= len(words)-to {
		return id
	}
	return strings.Join(words[from:len(words)-to], "-")
}

// again finds a device known before: at its old place under its old name, or
// elsewhere under its old name if only one has it, and had it then.
func again(known Info, among []Info) (Info, bool) {
	named := filter(among, func(i Info) bool { return i.Name == known.Name && i.Backend == known.Backend })
	for _, i := range named {
		if i.ID == known.ID {
			return i, true
		}
	}
	if named = devices(named); len(named) == 1 && !known.Twin {
		return named[0], true
	}
	return Info{}, false
}

func filter(among []Info, keep func(Info) bool) (kept []Info) {
	for _, i := range among {
		if keep(i) {
			kept = append(kept, i)
		}
	}
	return kept
}

// names lists devices for a message; ids where names alone do not tell them apart.
func names(of []Info) string {
	var list []string
	for _, i := range of {
		same := filter(of, func(o Info) bool { return o.Name == i.Name })
		if len(same) > 1 {
			list = append(list, fmt.Sprintf("%q (%s)", i.Name, i.ID))
		} else {
			list = append(list, fmt.Sprintf("%q", i.Name))
		}
	}
	return strings.Join(list, ", ")
}
