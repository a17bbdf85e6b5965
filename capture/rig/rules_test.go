package rig

import (
	"errors"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/dailies"
	"rollready/capture/power"
	"rollready/capture/rig/guided"
	"rollready/capture/rig/output"
	"rollready/capture/rig/session"
	"rollready/capture/take"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/earcon"
	"rollready/dsp/figure"
	"rollready/dsp/filter"
	"rollready/dsp/lineup"
	"rollready/dsp/lineup/tone"
	"rollready/dsp/preroll"
	"rollready/dsp/strips"
	"rollready/presets"
)

// stand is a rig of parts that only note what is asked of them.
type stand struct {
	*Rig
	engine   *passage
	chain    chain.Settings // of the first strip, as the engine runs it
	strips   strips.Settings
	recorder *rolls
	line     *tones
	ways     *outs
	inputs   []string // switched to
	fails    error    // of the next switch
}

type listens struct {
	*passage
	on *stand
}

func (e listens) SetStrips(set strips.Settings) { e.on.chain, e.on.strips = set.Chain(0), set }

type rolls struct {
	noRecorder
	status take.Status
	slates int
}

func (r *rolls) Slate() { r.slates++ }
func (r *rolls) Stop() (take.Take, error) {
	r.status.Rolling = false
	return r.status.Take, nil
}
func (r *rolls) Status() take.Status { return r.status }
func (r *rolls) Roll(w take.What) (take.Take, error) {
	r.status = take.Status{Rolling: true, Take: take.Take{Scene: w.Scene, Number: 1, Path: "1.wav"}}
	return r.status.Take, nil
}

type tones struct {
	noLine
	state LineState
	set   tone.Settings
}

func (l *tones) Outputs() ([]Device, error) {
	return []Device{{Choice: "usb", Name: "USB interface"}, {Choice: "jack", Name: "Headphone jack", Default: true}}, nil
}
func (l *tones) State() LineState    { return l.state }
func (l *tones) Set(s tone.Settings) { l.set = s }
func (l *tones) Tone(choice string, s tone.Settings) error {
	l.state = LineState{Sounds: ToneSounds, Output: presets.Output{Name: choice}, LevelDBFS: s.LevelDBFS}
	return nil
}

// TestTwoOutputsOfOneName: the one chosen stays chosen however often they are
// looked for; one that was pulled and comes back elsewhere is known by its name.
func TestTwoOutputsOfOneName(t *testing.T) {
	twins := []Device{{Choice: "left", Name: "USB interface", Twin: true}, {Choice: "right", Name: "USB interface", Twin: true}, {Choice: "jack", Name: "Headphone jack", Default: true}}
	require.Equal(t, 1, again(twins[1].Output(), twins))
	require.Equal(t, 2, again(presets.Output{Name: "Headphone jack", Key: "elsewhere"}, twins))
	require.Equal(t, 2, again(presets.Output{Name: "Headphone jack"}, twins), "as an old profile knows it")
	require.Equal(t, 2, again(presets.Output{Name: "USB interface"}, twins), "either could be meant: the default")
	require.Equal(t, 2, again(presets.Output{}, twins), "the default")
	require.Equal(t, 0, again(presets.Output{}, nil))
}

type outs struct {
	noSound
	open    [2]string
	earcons []earcon.Kind
}

func (o *outs) Status(p Place) (output.Status, bool) {
	return output.Status{Device: presets.Output{Name: o.open[p], Key: o.open[p]}}, o.open[p] != ""
}
func (o *outs) Use(p Place, choice string) error { o.open[p] = choice; return nil }

func newStand(t *testing.T) *stand {
	t.Helper()
	store, err := presets.Open(t.TempDir())
	require.NoError(t, err)
	s := &stand{engine: &passage{}, recorder: &rolls{}, line: &tones{}, ways: &outs{}}
	s.engine.status = session.Status{Source: "Lavalier", Kind: capture.Device, SourceHz: 48000, Channels: 2}
	s.engine.reading = dsp.Reading{Frames: 48000, RateHz: 48000, Channels: 2}
	settings := presets.DefaultSettings()
	settings.Input = "lav"
	s.Rig = New(&Parts{Engine: listens{s.engine, s}, Recorder: s.recorder, Sound: s.ways, Line: s.line, Store: store,
		Settings: settings, Camera: presets.NewCamera("b camera"), Battery: power.Read,
		Now:   func() time.Time { return time.Date(2024, 5, 17, 9, 0, 0, 0, time.UTC) },
		Check: func(...int) Checker { return done{} },
		Stand: func(session.Opener) error { s.inputs = append(s.inputs, "another source"); return s.fails },
		Switch: func(input, _ string) error {
			if s.fails == nil {
				s.inputs = append(s.inputs, input)
			}
			return s.fails
		}})
	return s
}

// done is a check in which all is heard.
type done struct{}

func (done) Progress() guided.Progress {
	return guided.Progress{Progress: preroll.Progress{Step: preroll.Done}}
}
func (done) Repeat(guided.Step) {}
func (done) End()               {}
func (done) Result(guided.Setup) (guided.Outcome, error) {
	return guided.Outcome{Result: preroll.Result{Recommend: preroll.Recommend{OutputGainDB: figure.Figure(6), HighPass: filter.Cut{Hz: 80, Slope: 24}}}}, nil
}

func gain(db float64) chain.Settings { return chain.Settings{GainDB: db} }

func refused(t *testing.T, err error) {
	t.Helper()
	var no Refusal
	require.ErrorAs(t, err, &no)
}

func TestChainIsLockedWhileATakeRolls(t *testing.T) {
	s := newStand(t)
	require.NoError(t, s.SetChain(gain(3)))
	require.Equal(t, gain(3), s.chain)
	_, err := s.Roll(take.What{Scene: "12A"})
	require.NoError(t, err)
	require.True(t, s.State().Locked)
	refused(t, s.SetChain(gain(4)))
	refused(t, s.UsePreset(presets.Preset{Name: "loud", Strips: strips.Of(gain(9))}))
	require.Equal(t, gain(3), s.chain)
	require.NotEqual(t, "loud", s.State().Settings.Preset)
	require.False(t, s.Unlock())
	require.NoError(t, s.SetChain(gain(4)))
	s.recorder.status.Take.Path = "2.wav" // the next take is locked anew
	refused(t, s.SetChain(gain(5)))
}

// Where strips go stays as long as a take rolls; what only the ears hear is
// never locked, and nobody begins a take with one strip in the ears.
func TestStripsWhileATakeRolls(t *testing.T) {
	s := newStand(t)
	s.ways.open[Headphones] = "jack"
	s.engine.status.Picked = strips.ChannelsOf(2, []int{0, 1})
	s.ChooseStrip(1)
	_, err := s.ToggleLink()
	require.NoError(t, err)
	require.NoError(t, s.SetChain(gain(3)))
	require.Equal(t, [2]float64{0, 3}, [2]float64{s.strips.Strips[0].Chain.GainDB, s.strips.Strips[1].Chain.GainDB}, "of the chosen one")
	alone, err := s.ToggleSolo()
	require.NoError(t, err)
	require.Equal(t, 2, alone)
	_, err = s.Roll(take.What{Scene: "12A"})
	require.NoError(t, err)
	require.Zero(t, s.strips.Solo)
	_, err = s.ToggleSolo()
	require.NoError(t, err)
	require.Equal(t, 2, s.strips.Solo)
	_, err = s.ToggleLink()
	refused(t, err)
	s.Unlock()
	to := s.State().Settings.Strips
	to.Route = strips.Safety
	refused(t, s.SetStrips(to))
	changed, err := s.ToggleLink()
	require.NoError(t, err)
	require.Equal(t, []string{"microphone 1 is now set like microphone 2"}, changed)
	require.Equal(t, 3.0, s.strips.Strips[0].Chain.GainDB)
}

// A preset of one chain is for the chosen strip; one of strips for all.
func TestPresetsOfStrips(t *testing.T) {
	s := newStand(t)
	s.engine.status.Picked = strips.ChannelsOf(2, []int{0, 1})
	_, err := s.ToggleLink()
	require.NoError(t, err)
	s.ChooseStrip(1)
	require.NoError(t, s.UsePreset(presets.Preset{Name: "one", Strips: strips.Of(gain(5))}))
	require.Equal(t, [2]float64{0, 5}, [2]float64{s.strips.Strips[0].Chain.GainDB, s.strips.Strips[1].Chain.GainDB})
	two := presets.Preset{Name: "two", Strips: strips.Settings{Unlinked: true, Route: strips.Together}}
	two.Strips.Strips[0] = strips.Strip{Name: "host", Chain: gain(-2)}
	require.NoError(t, s.UsePreset(two))
	require.Equal(t, two.Strips, s.strips)
	require.Equal(t, s.State().Taken, s.strips)
}

// What rolls is always the microphone: a take that is played makes way first,
// and nothing rolls where it can't.
func TestRollGoesBackToTheMicrophoneFirst(t *testing.T) {
	s := newStand(t)
	require.NoError(t, s.SetChain(gain(3)))
	refused(t, s.Play(take.Take{Tracks: []string{"input 1"}}, false))
	require.NoError(t, s.Play(take.Take{Path: "1.wav", Tracks: []string{"processed 1", "input 1"}}, false))
	require.Equal(t, []string{"file:1.wav"}, s.inputs)
	require.Equal(t, chain.Settings{}, s.chain, "as it was recorded")
	s.fails = errors.New("not there")
	_, err := s.Roll(take.What{})
	require.ErrorContains(t, err, "the input is not back: not there")
	require.False(t, s.recorder.status.Rolling)
	s.fails = nil
	_, err = s.Roll(take.What{})
	require.NoError(t, err)
	require.Equal(t, []string{"file:1.wav", "lav"}, s.inputs)
	require.Equal(t, gain(3), s.chain)
	require.Nil(t, s.State().Playing)
	refused(t, s.Play(take.Take{Tracks: []string{"input 1"}}, true))
	refused(t, s.Switch("usb", "USB interface", "1"))
}

// A take is played against its clip in place of the input, past the chain; the
// clip is heard first. What rolls is still the microphone.
func TestATakeIsPlayedBesideItsClip(t *testing.T) {
	s := newStand(t)
	require.NoError(t, s.SetChain(gain(3)))
	require.False(t, s.Swap(), "nothing plays")
	mill, clip := take.Take{Path: "1.wav"}, dailies.Pair{Clip: "/card/A001.mp4"}
	require.NoError(t, s.PlayBeside(mill, clip))
	require.Equal(t, []string{"another source"}, s.inputs)
	require.Equal(t, chain.Settings{}, s.chain)
	for _, clips := range []bool{true, false, true} {
		now := s.State().Playing
		require.Equal(t, []any{"1.wav", "/card/A001.mp4", clips}, []any{now.Take.Path, now.Clip, now.Clips})
		require.True(t, s.Swap())
	}
	_, err := s.Roll(take.What{})
	require.NoError(t, err)
	require.Equal(t, []string{"another source", "lav"}, s.inputs)
	require.Equal(t, gain(3), s.chain)
	refused(t, s.PlayBeside(mill, clip))
	require.False(t, s.Swap())
}

// A line-up is read off a tone that stands, within what a meter shows; the clip
// mark means nothing before a reading. The output it was made over is offered
// to feed the camera, once.
func TestLineUpRules(t *testing.T) {
	s := newStand(t)
	require.NoError(t, s.LookForOutputs())
	require.Equal(t, "Headphone jack", s.State().LineUp.Chosen.Name, "the default one, at first")
	require.NoError(t, s.ChooseOutput(1))
	refused(t, s.Risen())
	_, err := s.KeepClipMark()
	refused(t, err)
	require.NoError(t, s.StartTone())
	refused(t, s.ChooseOutput(1))
	s.line.state.Output, s.line.state.LevelDBFS = presets.Output{Name: "USB interface", Key: "usb"}, -31
	refused(t, s.Risen())
	s.line.state.LevelDBFS = tone.Default.LevelDBFS
	require.NoError(t, s.Risen())
	_, err = s.KeepClipMark()
	refused(t, err)
	for _, reads := range []float64{math.NaN(), -80.5, 0.5} {
		_, err = s.KeepReading(-20, reads)
		require.Error(t, err)
	}
	require.True(t, s.State().Camera.LinedUp.IsZero())
	_, ok := s.OfferFeed()
	require.False(t, ok, "nothing was lined up")
	offset, err := s.KeepReading(-20, -14)
	require.NoError(t, err)
	require.Equal(t, 6.0, offset)
	clip, err := s.KeepClipMark()
	require.NoError(t, err)
	require.Equal(t, -14.0, clip)
	require.NoError(t, s.SaveCamera())
	kept, err := s.Store().Cameras.Load("b camera")
	require.NoError(t, err)
	require.Equal(t, presets.Output{Name: "USB interface", Key: "usb"}, kept.LinedUpWith)
	to, ok := s.OfferFeed()
	require.True(t, ok)
	require.Equal(t, "usb", to.Choice)
	_, ok = s.OfferFeed()
	require.False(t, ok, "asked once")
	require.NoError(t, s.Use(CameraInput, to.Choice))
	require.Equal(t, "usb", s.State().Settings.CameraOutput.Key)
	require.NoError(t, s.UndoLineUp())
	require.Equal(t, 0.0, s.State().Camera.Scale.ClipDBFS)
	refused(t, s.UndoLineUp())
	c := presets.NewCamera("c")
	require.ErrorIs(t, LineUpByClip(&c, lineup.Result{AutomaticLevel: lineup.Automatic{On: true}}), ErrAutomaticLevel)
}

// A check holds for the input it was made with.
func TestCheckIsForgottenWithItsInput(t *testing.T) {
	s := newStand(t)
	require.NoError(t, s.BeginCheck())
	require.True(t, s.State().Check.Due)
	require.NoError(t, s.Judge()())
	require.NotNil(t, s.State().Checked)
	require.NoError(t, s.ApplyCheck())
	require.Equal(t, 6.0, s.chain.GainDB)
	now := s.State()
	require.True(t, now.Changed(now.Checked))
	require.NoError(t, s.UndoCheck())
	refused(t, s.UndoCheck())
	s.engine.status.Source = "Boom"
	require.Nil(t, s.State().Checked)
	refused(t, s.ApplyCheck())
	s.engine.status.Lost = true
	refused(t, s.BeginCheck())
}
