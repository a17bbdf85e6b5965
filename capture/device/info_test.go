package device

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
)

var desk = []Info{
	{Backend: "pulseaudio", ID: "desk_out.monitor", Name: "Monitor of Desk Speakers", Monitor: true, Default: true},
	{Backend: "pulseaudio", ID: "usb_a", Name: "Two Channel Interface"},
	{Backend: "pulseaudio", ID: "lav", Name: "Lav Receiver", Default: true},
	{Backend: "pulseaudio", ID: "lid", Name: "Lid Microphone"},
	{Backend: "pulseaudio", ID: "twin_1", Name: "Twin"},
	{Backend: "pulseaudio", ID: "twin_2", Name: "Twin"},
	{Backend: "pulseaudio", ID: "twin_3", Name: "Twin Stand"},
}

func TestChoose(t *testing.T) {
	for choice, want := range map[string]string{
		"":                               "lav", // the default that is a microphone
		"lid":                            "lid", // an id
		"LID MICRO":                      "lid",
		"interface":                      "usb_a",
		"id:pulseaudio:usb_a":            "usb_a",
		"twin_2":                         "twin_2",
		"twin stand":                     "twin_3",
		"desk speakers":                  "desk_out.monitor", // a monitor only where it is meant
		"id:pulseaudio:desk_out.monitor": "desk_out.monitor",
	} {
		got, err := choose(input, choice, desk)
		require.NoError(t, err, "choice %q", choice)
		require.Equal(t, want, got.ID, "choice %q", choice)
	}
}

func TestWhatCannotBeChosenIsExplained(t *testing.T) {
	for choice, want := range map[string]string{
		"twin":  `input "twin" could be "Twin" (twin_1), "Twin" (twin_2): write more of the name, or the id`,
		"l":     `input "l" could be "Two Channel Interface", "Lav Receiver", "Lid Microphone": write more of the name, or the id`,
		"organ": `input "organ" is not there: choose from`,
	} {
		_, err := choose(input, choice, desk)
		require.ErrorContains(t, err, want)
	}
}

func TestNoDeviceIsASentinel(t *testing.T) {
	onlyMonitors := []Info{{ID: "out.monitor", Name: "Monitor of Out", Monitor: true, Default: true}}
	for _, among := range [][]Info{nil, onlyMonitors} {
		_, err := choose(input, "", among)
		require.ErrorIs(t, err, capture.ErrNoInput)
		_, err = choose(output, "", among)
		require.ErrorIs(t, err, ErrNoOutput)
	}
	_, err := choose(input, "lav", nil)
	require.ErrorIs(t, err, capture.ErrNoInput)
	require.False(t, errors.Is(err, ErrNoOutput))
}

func TestADeviceIsKnownAgainByNameWhereItsPlaceChanged(t *testing.T) {
	known := Info{Backend: "alsa", ID: ":1,0", Name: "Lav Receiver"}
	atHome := Info{Backend: "alsa", ID: ":1,0", Name: "Lav Receiver"}
	moved := Info{Backend: "alsa", ID: ":2,0", Name: "Lav Receiver"}
	squatter := Info{Backend: "alsa", ID: ":1,0", Name: "Lid Microphone"}
	elsewhere := Info{Backend: "pulseaudio", ID: "lav", Name: "Lav Receiver"}
	for _, c := range []struct {
		among []Info
		want  string
		ok    bool
	}{
		{[]Info{moved, atHome}, ":1,0", true},
		{[]Info{squatter, moved}, ":2,0", true},
		{[]Info{squatter}, "", false}, // another microphone at the old place is not the one lost
		{[]Info{elsewhere}, "", false},
		{[]Info{moved, {Backend: "alsa", ID: ":3,0", Name: "Lav Receiver"}}, "", false},
		{nil, "", false},
	} {
		got, ok := again(known, c.among)
		require.Equal(t, c.ok, ok, "%v", c.among)
		require.Equal(t, c.want, got.ID, "%v", c.among)
	}
}

// Of two of one name only the very same is taken: the other may be somebody else's.
func TestATwinIsKnownAgainByItsPlaceAlone(t *testing.T) {
	twins := []Info{{Backend: "alsa", ID: ":1,0", Name: "Lav Receiver"}, {Backend: "alsa", ID: ":2,0", Name: "Lav Receiver"}}
	markTwins(twins)
	got, ok := again(twins[0], twins)
	require.True(t, ok)
	require.Equal(t, ":1,0", got.ID)
	_, ok = again(twins[0], twins[1:])
	require.False(t, ok)
}

func TestTwinsAreMarked(t *testing.T) {
	for _, c := range []struct{ ids, marks []string }{
		{[]string{"lav_a", "lav_b"}, []string{"a", "b"}},
		{[]string{"in.usb-Lav-00.analog-stereo", "in.usb-Lav-01.analog-stereo", "in.usb-Lav-12.mono"}, []string{"00-analog-stereo", "01-analog-stereo", "12-mono"}},
		{[]string{"in.usb-Lav.mono", "in.usb-Lav.mono.2"}, []string{"in.usb-Lav.mono", "2"}},
		{[]string{":1,0", ":2,0"}, []string{"1", "2"}},
		{[]string{"one"}, []string{""}},
	} {
		var found []Info
		for _, id := range c.ids {
			found = append(found, Info{ID: id, Backend: "pulseaudio", Name: "Lav"})
		}
		found = append(found, Info{ID: "lid", Backend: "pulseaudio", Name: "Lid"})
		markTwins(found)
		for i, want := range c.marks {
			require.Equal(t, want, found[i].Mark)
			require.Equal(t, want != "", found[i].Twin)
		}
	}
}

func TestStandInsAreNoDevices(t *testing.T) {
	for _, id := range []string{"auto_null", "auto_null.monitor"} {
		require.True(t, Info{Backend: "pulseaudio", ID: id}.standsIn(), id)
	}
	require.False(t, Info{Backend: "pulseaudio", ID: "lav"}.standsIn())
	mic := Info{Backend: "alsa", ID: ":0,0", Name: "Lav Receiver"}
	plugins := []Info{{Backend: "alsa", ID: "null", Name: "null"}, {Backend: "alsa", ID: "default", Name: "Default", Default: true}, {Backend: "alsa", ID: "both", Name: "Lav Receiver"}}
	require.Equal(t, []Info{mic}, devices(append(plugins, mic)))
	for _, choice := range []string{"", "null", "both", "def"} {
		_, err := choose(input, choice, plugins)
		require.ErrorIs(t, err, capture.ErrNoInput, choice)
	}
	for _, plugin := range plugins { // unless it is meant
		got, err := choose(input, plugin.Key(), append(plugins, mic))
		require.NoError(t, err)
		require.Equal(t, plugin, got)
		got, ok := again(plugin, append(plugins, mic))
		require.True(t, ok)
		require.Equal(t, plugin, got)
	}
	_, ok := again(mic, plugins)
	require.False(t, ok, "a plugin of its name is not the microphone")
}

func TestFormatIsNativeWhereTheMetersReach(t *testing.T) {
	for _, c := range []struct {
		rates    []int
		channels int
		want     capture.Format
	}{
		{nil, 0, capture.Format{RateHz: 48000, Channels: 2}},
		{[]int{44100}, 1, capture.Format{RateHz: 44100, Channels: 1}},
		{[]int{96000}, 8, capture.Format{RateHz: 96000, Channels: 8}},
		{[]int{192000, 48000, 44100}, 2, capture.Format{RateHz: 48000, Channels: 2}},
		{[]int{8000, 88200, 96000}, 2, capture.Format{RateHz: 88200, Channels: 2}},
		{[]int{16000}, 1, capture.Format{RateHz: 48000, Channels: 1}}, // a telephone headset: converted
		{[]int{384000}, 2, capture.Format{RateHz: 48000, Channels: 2}},
	} {
		i := Info{RatesHz: c.rates, Channels: c.channels}
		require.Equal(t, c.want, i.format(), "%v", c)
	}
}
