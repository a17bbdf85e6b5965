package alert

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/dsp/verdict"
	"rollready/presets"
)

func all(ways presets.AlertWays) (a presets.Alerts) {
	for i := range a {
		a[i] = ways
	}
	return a
}

// minute lets a watch look ten times a second for a minute and gives the times,
// in tenths of a second, at which it tells.
func minute(w *Watch, on func(tenth int) []verdict.Finding, chosen presets.Alerts) (told []int) {
	begin := time.Date(2024, 5, 17, 9, 0, 0, 0, time.UTC)
	for i := range 600 {
		for range w.Look(begin.Add(time.Duration(i)*100*time.Millisecond), on(i), chosen) {
			told = append(told, i)
		}
	}
	return told
}

func TestToldWhenItComesUpAndNoMoreOftenThanEveryTenSeconds(t *testing.T) {
	lost, battery, disk := verdict.LostInput("mic", time.Second), verdict.Battery(8), verdict.Disk(time.Minute)
	clipped := verdict.Clipped(verdict.On(1), 1)
	for name, c := range map[string]struct {
		on   func(i int) []verdict.Finding
		want []int
	}{
		"stays":          {func(i int) []verdict.Finding { return []verdict.Finding{lost} }, []int{0}},
		"two kinds":      {func(i int) []verdict.Finding { return []verdict.Finding{lost, battery} }, []int{0, 0}},
		"comes and goes": {func(i int) []verdict.Finding { return []verdict.Finding{clipped}[:i/10%2] }, []int{10, 110, 210, 310, 410, 510}},
		"again, and stays": {func(i int) []verdict.Finding {
			return []verdict.Finding{lost}[:max(0, min(1, i-31))+min(1, max(0, 20-i))]
		}, []int{0, 100}},
		"again, and over":   {func(i int) []verdict.Finding { return []verdict.Finding{lost}[:btoi(i < 20 || i > 40 && i < 60)] }, []int{0}},
		"disk, then power":  {func(i int) []verdict.Finding { return []verdict.Finding{disk, battery}[:1+btoi(i > 50)] }, []int{0, 100}},
		"two of one kind":   {func(i int) []verdict.Finding { return []verdict.Finding{clipped, clipped} }, []int{0}},
		"not worth a word":  {func(i int) []verdict.Finding { return []verdict.Finding{verdict.NotFed(), verdict.Frames(3)} }, nil},
		"nothing is wrong":  {func(i int) []verdict.Finding { return nil }, nil},
		"longer than apart": {func(i int) []verdict.Finding { return []verdict.Finding{lost}[:i/150%2] }, []int{150, 450}},
	} {
		require.Equal(t, c.want, minute(&Watch{}, c.on, all(presets.Bell)), name)
		require.Empty(t, minute(&Watch{}, c.on, presets.Alerts{}), "%s, not chosen", name)
	}
}

func btoi(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// Each kind is told in the ways chosen for it, and by default only a take that
// stopped by a fault.
func TestEachKindIsChosen(t *testing.T) {
	found := map[presets.AlertKind]verdict.Finding{
		presets.AlertTakeStopped: verdict.TakeBroken("disk full"), presets.AlertInputLost: verdict.LostInput("mic", 0),
		presets.AlertClipped: verdict.Clipped(verdict.On(1), 1), presets.AlertSilence: {Code: verdict.Silence},
		presets.AlertRunningLow: verdict.Battery(5), presets.AlertCameraLost: verdict.LostCamera("jack", ""),
	}
	require.Len(t, found, int(presets.AlertKinds))
	at := time.Date(2024, 5, 17, 9, 0, 0, 0, time.UTC)
	var everything []verdict.Finding
	for kind, f := range found {
		var chosen presets.Alerts
		chosen[kind] = presets.Earcon | presets.Bell
		require.Equal(t, []Alert{{kind, presets.Earcon | presets.Bell, f}}, (&Watch{}).Look(at, []verdict.Finding{f}, chosen))
		everything = append(everything, f)
	}
	require.Equal(t, []Alert{{presets.AlertTakeStopped, presets.Notification, found[presets.AlertTakeStopped]}},
		(&Watch{}).Look(at, everything, presets.DefaultSettings().Alerts))
}
