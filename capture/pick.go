package capture

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"rollready/dsp/strips"
)

// Pick chooses the chain's channels out of a source's. The zero Pick takes
// the first two, or the only one.
type Pick string

// Picks other than a single channel's number ("1", "2", …).
const (
	Auto   Pick = ""
	Stereo Pick = "1+2"
	Mix    Pick = "mix" // mean of all channels
)

// ParsePick reads "1", "2", …, "1+2" (any up to strips.Max), "mix" or "".
func ParsePick(s string) (Pick, error) {
	p := Pick(strings.TrimSpace(s))
	if p == Auto || p == Mix {
		return p, nil
	}
	list := strings.Split(string(p), "+")
	if slices.ContainsFunc(list, func(n string) bool { return number(n) == 0 }) {
		return Auto, fmt.Errorf("channels %q: choose a channel number, a pair like 1+2, or mix", s)
	}
	if len(list) > strips.Max {
		return Auto, fmt.Errorf("channels %q: choose %d at most", s, strips.Max)
	}
	return p, nil
}

func number(s string) int {
	n := 0
	for _, r := range s {
		if r < '0' || r > '9' || n > 99 {
			return 0
		}
		n = 10*n + int(r-'0')
	}
	return n
}

// ErrChannel means that an input lacks a channel that was picked; its number and
// what the input has stand around it.
var ErrChannel = errors.New("the input has")

// Picker copies the picked channels of a source's frames.
type Picker struct {
	source int
	from   []int // source channel of each picked one; nil: the mix
	picked int
}

// NewPicker applies a Pick to a source of so many channels. The error names
// the channel that is missing.
func NewPicker(p Pick, sourceChannels int) (*Picker, error) {
	k := &Picker{source: sourceChannels, picked: 1}
	switch p {
	case Mix:
		return k, nil
	case Auto:
		k.from = []int{0, 1}[:min(2, sourceChannels)]
	default:
		for _, n := range strings.Split(string(p), "+") {
			k.from = append(k.from, number(n)-1)
		}
	}
	k.picked = len(k.from)
	for _, c := range k.from {
		if c >= sourceChannels || c < 0 {
			return nil, fmt.Errorf("channel %d: %w %d", c+1, ErrChannel, sourceChannels)
		}
	}
	return k, nil
}

// Channels is the number of channels picked: 1 to strips.Max.
func (k *Picker) Channels() int { return k.picked }

// Sources are the channels of the source, from 0, that were picked; nil for
// the mix.
func (k *Picker) Sources() []int { return slices.Clone(k.from) }

// Copy fills dst with the picked channels of src and gives the filled part.
// dst must hold the frames of src. Audio thread: does not allocate.
func (k *Picker) Copy(dst, src []float32) []float32 {
	frames := len(src) / k.source
	dst = dst[:frames*k.picked]
	if k.asTheyLie() {
		copy(dst, src)
		return dst
	}
	for i := range frames {
		frame := src[i*k.source : (i+1)*k.source]
		if k.from == nil {
			dst[i] = mean(frame)
			continue
		}
		for c, from := range k.from {
			dst[i*k.picked+c] = frame[from]
		}
	}
	return dst
}

// asTheyLie tells that all channels are picked in their order.
func (k *Picker) asTheyLie() bool {
	for i, c := range k.from {
		if c != i {
			return false
		}
	}
	return len(k.from) == k.source
}

func mean(frame []float32) float32 {
	var sum float32
	for _, x := range frame {
		sum += x
	}
	return sum / float32(len(frame))
}
