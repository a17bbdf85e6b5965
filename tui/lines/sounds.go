package lines

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"rollready/capture/mixer"
	"rollready/capture/rig"
)

// Destination gives the output that is to sound. Nothing sounds unasked: where
// none is named, a person at a terminal says yes to the default one.
func Destination(ctx context.Context, line rig.Line, named string, in io.Reader, typed <-chan string, out io.Writer) (string, error) {
	if named != "" {
		return named, nil
	}
	there, err := line.Outputs()
	if err == nil && len(there) == 0 {
		err = errors.New("there is no output to send to: connect one")
	}
	if err != nil {
		return "", err
	}
	if !IsTerminal(in) {
		return "", fmt.Errorf("say where it is to sound: --camera-output NAME; there is %s", outputNames(there))
	}
	to := there[max(slices.IndexFunc(there, func(o rig.Device) bool { return o.Default }), 0)]
	fmt.Fprintf(out, "It will sound on %q, and loud: headphones off. y and enter sends, enter leaves: ", to.Name)
	select {
	case answer := <-typed:
		if strings.EqualFold(answer, "y") || strings.EqualFold(answer, "yes") {
			return to.Choice, nil
		}
	case <-ctx.Done():
	}
	return "", errors.New("nothing was sent")
}

// outputNames lists outputs, those that share a name with what tells them apart.
func outputNames(of []rig.Device) string {
	count := map[string]int{}
	for _, o := range of {
		count[o.Name]++
	}
	var names []string
	for _, o := range of {
		name := strconv.Quote(o.Name)
		if count[o.Name] > 1 {
			name += " (" + o.Detail + ")"
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}

// Follow looks at what sounds, ten times a second, until it is over, do
// says that it is done, or the context ends. The last state tells what was.
func Follow(ctx context.Context, line rig.Line, do func(rig.LineState) (done bool)) (rig.LineState, error) {
	tick := time.NewTicker(100 * time.Millisecond)
	defer tick.Stop()
	for {
		s := line.State()
		switch {
		case s.Fault != "":
			return s, errors.New(s.Fault)
		case s.Sounds == rig.Quiet, do(s):
			return s, nil
		}
		select {
		case <-ctx.Done():
			return s, nil
		case <-tick.C:
		}
	}
}

// VolumeTeller says what the sound system does to an output that sounds, at
// first and whenever it changes.
type VolumeTeller struct {
	To    io.Writer
	Name  string
	Begun time.Time
	told  string
}

// tellPatience is how long an output's volume may take to be known.
const tellPatience = 2 * time.Second

// Tell says it, where it is news.
func (v *VolumeTeller) Tell(s mixer.Setting) {
	text := s.Words(v.Name)
	if text != v.told && (s.Told || time.Since(v.Begun) > tellPatience) {
		v.told = text
		fmt.Fprintln(v.To, text)
	}
}
