package power

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// File names and values: Linux kernel documentation, ABI/testing/sysfs-class-power.
func TestReadsTheKernelsFiles(t *testing.T) {
	battery := "BAT0 type=Battery capacity=40 status=Discharging"
	for _, c := range []struct {
		supplies []string
		want     State
	}{
		{nil, State{}},
		{[]string{"AC type=Mains online=1"}, State{}},
		{[]string{battery}, State{true, 40, false}},
		{[]string{battery, "AC type=Mains online=1"}, State{true, 40, true}},
		{[]string{battery, "AC type=Mains online=0"}, State{true, 40, false}},
		{[]string{battery, "BAT1 type=Battery capacity=80 status=Charging"}, State{true, 60, true}},
		{[]string{battery, "mouse type=Battery scope=Device capacity=5 status=Discharging"}, State{true, 40, false}},
		{[]string{"BAT0 type=Battery capacity=unknown"}, State{}},
	} {
		dir := t.TempDir()
		for _, supply := range c.supplies {
			words := strings.Fields(supply)
			require.NoError(t, os.Mkdir(filepath.Join(dir, words[0]), 0o755))
			for _, word := range words[1:] {
				name, value, _ := strings.Cut(word, "=")
				require.NoError(t, os.WriteFile(filepath.Join(dir, words[0], name), []byte(value+"\n"), 0o644))
			}
		}
		require.Equal(t, c.want, readFrom(dir), "%v", c.supplies)
	}
}
