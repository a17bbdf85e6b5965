package power

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// supply writes one supply's folder with the files the kernel documents in
// Documentation/ABI/testing/sysfs-class-power.
func supply(t *testing.T, root, name string, fields map[string]string) {
	t.Helper()
	dir := filepath.Join(root, name)
	require.NoError(t, os.MkdirAll(dir, 0o755))
	for k, v := range fields {
		require.NoError(t, os.WriteFile(filepath.Join(dir, k), []byte(v+"\n"), 0o644))
	}
}

func TestReadFrom(t *testing.T) {
	type fields = map[string]string
	mains := fields{"type": "Mains", "online": "1"}
	cases := []struct {
		name     string
		supplies map[string]fields
		want     Battery
		low      bool
	}{
		{"no supply listed", nil, Battery{State: Absent}, false},
		{"mains alone", map[string]fields{"AC": mains}, Battery{State: Absent}, false},
		{"draining", map[string]fields{"AC": mains, "BAT0": {"type": "Battery", "present": "1", "capacity": "82", "status": "Discharging"}},
			Battery{Draining, 82}, false},
		{"draining, at the warning", map[string]fields{"BAT0": {"type": "Battery", "capacity": "20", "status": "Discharging"}}, Battery{Draining, 20}, false},
		{"draining, below it", map[string]fields{"BAT0": {"type": "Battery", "capacity": "19", "status": "Discharging"}}, Battery{Draining, 19}, true},
		{"charging when low", map[string]fields{"BAT0": {"type": "Battery", "capacity": "5", "status": "Charging"}}, Battery{Charging, 5}, false},
		{"full", map[string]fields{"BAT0": {"type": "Battery", "capacity": "100", "status": "Full"}}, Battery{Charging, 100}, false},
		{"two, one draining", map[string]fields{
			"BAT0": {"type": "Battery", "capacity": "10", "status": "Discharging"},
			"BAT1": {"type": "Battery", "capacity": "90", "status": "Not charging"}}, Battery{Draining, 50}, false},
		{"a mouse's does not count", map[string]fields{"hid-1": {"type": "Battery", "scope": "Device", "capacity": "3", "status": "Discharging"}},
			Battery{State: Absent}, false},
		{"energy instead of a percentage", map[string]fields{"BAT0": {"type": "Battery", "energy_now": "12000000", "energy_full": "48000000", "status": "Discharging"}},
			Battery{Draining, 25}, false},
		{"empty bay", map[string]fields{"BAT0": {"type": "Battery", "present": "0", "capacity": "0"}}, Battery{State: Absent}, false},
		{"garbage", map[string]fields{"BAT0": {"type": "Battery", "capacity": "lots"}}, Battery{State: Absent}, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			root := t.TempDir()
			for name, f := range c.supplies {
				supply(t, root, name, f)
			}
			got := ReadFrom(root)
			require.Equal(t, c.want, got)
			require.Equal(t, c.low, got.Low())
		})
	}
}

func TestReadFromMissingFolder(t *testing.T) {
	require.Equal(t, Unknown, ReadFrom(filepath.Join(t.TempDir(), "none")).State)
}

// As pmset prints, from memory.
func TestFromPmset(t *testing.T) {
	const line = " -InternalBattery-0 (id=4653155)\t"
	for printed, want := range map[string]Battery{
		"Now drawing from 'Battery Power'\n" + line + "82%; discharging; 3:12 remaining present: true\n": {Draining, 82},
		"Now drawing from 'AC Power'\n" + line + "100%; charged; 0:00 remaining present: true\n":         {Charging, 100},
		"Now drawing from 'AC Power'\n" + line + "9%; charging; (no estimate) present: true\n":           {Charging, 9},
		"Now drawing from 'AC Power'\n": {State: Absent},
		"Now drawing from 'AC Power'\n -Some UPS (id=1)\t50%; charging present: true\n":                                                                     {State: Absent},
		"Now drawing from 'Battery Power'\n -Some UPS (id=1)\t50%; discharging present: true\n" + line + "30%; discharging; 1:00 remaining present: true\n": {Draining, 30},
		"pmset: no such option\n": {},
		"":                        {},
	} {
		require.Equal(t, want, FromPmset(printed), printed)
	}
}
