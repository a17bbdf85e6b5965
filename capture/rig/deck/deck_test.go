package deck

import (
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/power"
	"rollready/capture/rig/session"
	"rollready/capture/take"
	"rollready/capture/take/bwf"
	"rollready/dsp/camera"
	"rollready/presets"
)

// fakeSession delivers blocks when the test says so.
type fakeSession struct {
	mu     sync.Mutex
	format capture.Format
	status session.Status
	sink   session.Sink
	fits   capture.Format
	wrong  atomic.Bool // Status panics
	panics chan any
}

func (s *fakeSession) Format() capture.Format { s.mu.Lock(); defer s.mu.Unlock(); return s.format }
func (s *fakeSession) Status() session.Status {
	if s.wrong.Load() {
		panic("asked to")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.status
}
func (s *fakeSession) SetSink(k session.Sink, f capture.Format) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.sink, s.fits = k, f
}

func (s *fakeSession) change(f capture.Format, source string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.format, s.status.Source = f, source
}

// Go keeps what a goroutine panics with.
func (s *fakeSession) Go(f func()) {
	go func() {
		defer func() {
			if cause := recover(); cause != nil {
				s.panics <- cause
			}
		}()
		f()
	}()
}

// play delivers so many seconds of a steady value at once.
func (s *fakeSession) play(seconds float64, value float32) {
	s.mu.Lock()
	defer s.mu.Unlock()
	block := make([]float32, int(seconds*float64(s.format.RateHz))*s.format.Channels)
	for i := range block {
		block[i] = value
	}
	if s.sink != nil && s.fits == s.format {
		s.sink.MixSlate(block, nil, nil)
		s.sink.Feed(block, block)
	}
}

var stereo = capture.Format{RateHz: 48000, Channels: 2}

func open(t *testing.T) (*Deck, *fakeSession) {
	s := &fakeSession{format: stereo, status: session.Status{Source: "lavalier"}, panics: make(chan any, 1)}
	set := presets.DefaultSettings().Recording
	set.Dir = filepath.Join(t.TempDir(), "takes")
	d, err := Open(s, set, camera.Default, func() power.Battery { return power.Battery{State: power.Draining, Percent: 9} })
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, d.Close()) })
	return d, s
}

func eventually(t *testing.T, what string, ok func() bool) {
	t.Helper()
	for end := time.Now().Add(30 * time.Second); !ok(); time.Sleep(5 * time.Millisecond) {
		require.True(t, time.Now().Before(end), what)
	}
}

func TestATakeFromRollToReport(t *testing.T) {
	d, s := open(t)
	found, err := d.Takes()
	require.NoError(t, err)
	require.Empty(t, found, "no folder yet")
	s.play(2, 0.25)
	_, err = d.Roll(take.What{Scene: "12A"})
	require.NoError(t, err)
	here := d.Here()
	s.play(1, 0.5)
	d.MarkAt(here, "door")
	d.Note("boom low")
	d.Slate()
	s.play(1, 0.5)
	eventually(t, "alarm of the battery", func() bool { return len(d.Status().Alarms) > 0 })
	got, err := d.Stop()
	require.NoError(t, err)
	marks := []take.Marker{{Frame: 2 * 48000, Text: "door"}, {Frame: 3 * 48000, Text: "slate"}}
	if got.Lost > 0 { // the test stood still, and delivered nothing meanwhile
		marks = append(marks, take.Marker{Frame: 4 * 48000, Text: "input lost"})
	}
	require.EqualValues(t, 4*48000, got.Frames-got.Lost, "with 2 s from before")
	require.Equal(t, marks, got.Markers)
	require.Equal(t, "boom low", got.Note)

	page, err := d.Report(got.Started)
	require.NoError(t, err)
	require.FileExists(t, page)
	require.FileExists(t, page[:len(page)-len("html")]+"csv")
	gone, err := d.Delete(got.Path)
	require.NoError(t, err)
	require.NoError(t, d.Undo(gone))
	_, err = d.Change(got.Path, func(t *take.Take) { t.Circled = true })
	require.NoError(t, err)
	found, err = d.Takes()
	require.NoError(t, err)
	require.Len(t, found, 1)
	require.True(t, found[0].Take.Circled)
}

// An input that comes back in another format ends the take; the next goes on
// at once.
func TestAnotherFormatWhileRolling(t *testing.T) {
	d, s := open(t)
	_, err := d.Roll(take.What{Scene: "1"})
	require.NoError(t, err)
	s.play(1, 0.5)
	s.change(capture.Format{RateHz: 44100, Channels: 1}, "built-in")
	eventually(t, "the next take", func() bool { return d.Status().Take.Number == 2 })
	s.play(1, 0.5)
	second, err := d.Stop()
	require.NoError(t, err)
	require.Equal(t, 44100, second.RateHz)
	require.GreaterOrEqual(t, second.Duration(), time.Second, "more where the machine stood still")
	require.Contains(t, second.Note, "goes on from 1 take 1")
	found, err := d.Takes()
	require.NoError(t, err)
	require.GreaterOrEqual(t, found[0].Take.Duration(), time.Second)
	require.Equal(t, take.Ended, found[0].Take.State)
}

// What is left of the time asked for goes on in the next take, and nobody sees
// the recorder stand still between them.
func TestTheTimeAskedForGoesOn(t *testing.T) {
	d, s := open(t)
	s.play(1, 0.5)
	_, err := d.Roll(take.What{Scene: "1", Seconds: 3})
	require.NoError(t, err)
	s.play(1, 0.5)
	s.change(capture.Format{RateHz: 44100, Channels: 1}, "built-in")
	eventually(t, "the next take", func() bool {
		now := d.Status()
		require.True(t, now.Rolling || now.Take.Number == 2)
		return now.Take.Number == 2
	})
	s.play(5, 0.5)
	eventually(t, "its end", func() bool { return !d.Status().Rolling })
	found, err := d.Takes()
	require.NoError(t, err)
	require.Len(t, found, 2)
	both := found[0].Take.Duration() + found[1].Take.Duration()
	require.InDelta(t, 4, both.Seconds(), 0.001, "with 1 s from before")
}

// Sound of another input, or of a file that was played, is not put before a take.
func TestThePreRecordIsOfThisInput(t *testing.T) {
	d, s := open(t)
	s.play(3, 0.5)
	s.change(stereo, "camera mic")
	got, err := d.Roll(take.What{Scene: "1"})
	require.NoError(t, err)
	require.Zero(t, got.LeadFrames)
	_, err = d.Stop()
	require.NoError(t, err)
	s.play(3, 0.5)
	require.NoError(t, d.Forget())
	got, err = d.Roll(take.What{Scene: "1"})
	require.NoError(t, err)
	require.Zero(t, got.LeadFrames)
}

func TestSettings(t *testing.T) {
	d, s := open(t)
	set := presets.DefaultSettings().Recording
	set.Dir, set.Encoding, set.NoInput, set.Safety, set.PreRecordS, set.Names = t.TempDir(), "float", true, true, 0, "{take} of {scene}"
	require.NoError(t, d.Set(set))
	require.Equal(t, set.Dir, d.Folder())
	s.play(1, 0.5)
	got, err := d.Roll(take.What{Scene: "1"})
	require.NoError(t, err)
	require.Zero(t, got.LeadFrames)
	require.Len(t, got.Tracks, 4)
	require.Equal(t, "001 of 1.wav", filepath.Base(got.Path))
	require.Equal(t, 2, d.Next("1"))
	require.ErrorIs(t, d.Set(set), take.ErrRolling)
	require.NoError(t, d.Close(), "ends the take")
	require.False(t, d.Status().Rolling)
	_, err = d.Roll(take.What{Scene: "1"})
	require.Error(t, err)
	set.Dir = filepath.Join(got.Path, "below a file")
	require.Error(t, d.Set(set))
}

func TestAFolderNobodyCanWrite(t *testing.T) {
	d, _ := open(t)
	got, err := d.Roll(take.What{Scene: "1"})
	require.NoError(t, err)
	_, err = d.Stop()
	require.NoError(t, err)
	set := presets.DefaultSettings().Recording
	set.Dir = filepath.Join(got.Path, "below a file")
	was := d.Folder()
	require.ErrorContains(t, d.Set(set), "choose another")
	require.Equal(t, was, d.Folder())
}

// A mistake in the deck's goroutine goes to whoever started the session, and
// the take can still be closed.
func TestAPanicIsHandedOn(t *testing.T) {
	d, s := open(t)
	_, err := d.Roll(take.What{Scene: "1"})
	require.NoError(t, err)
	s.play(1, 0.5)
	s.wrong.Store(true)
	require.Equal(t, "asked to", <-s.panics)
	require.NoError(t, d.Close())
	require.Equal(t, take.Ended, d.Status().Take.State)
	require.Equal(t, int64(48000), d.Status().Take.Frames)
}

// Tracks are named after who speaks into them; a name given while a take rolls
// is for the next.
func TestTracksAreNamedAfterWhoSpeaks(t *testing.T) {
	d, s := open(t)
	call := func(who ...string) {
		s.mu.Lock()
		defer s.mu.Unlock()
		copy(s.status.Who[:], who)
	}
	call("host", "guest")
	rolled, err := d.Roll(take.What{Scene: "12A"})
	require.NoError(t, err)
	require.Equal(t, []string{"processed 1 host", "processed 2 guest", "input 1 host", "input 2 guest"}, rolled.Tracks)
	s.play(1, 0.5)
	call("anna", "guest")
	ended, err := d.Stop()
	require.NoError(t, err)
	require.Equal(t, rolled.Tracks, ended.Tracks)
	read, err := bwf.Read(ended.Path)
	require.NoError(t, err)
	require.Equal(t, rolled.Tracks, read.Meta.Tracks, "in iXML")
	rolled, err = d.Roll(take.What{Scene: "12A"})
	require.NoError(t, err)
	require.Equal(t, "processed 1 anna", rolled.Tracks[0])
}
