package power

import (
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"
)

// After Microsoft's page on SYSTEM_POWER_STATUS, from memory.
func TestStatus(t *testing.T) {
	require.EqualValues(t, 12, unsafe.Sizeof(status{}))
	for s, want := range map[status]Battery{
		{mains: 0, flag: 1, percent: 82}:       {Draining, 82},
		{mains: 0, flag: 4, percent: 4}:        {Draining, 4},
		{mains: 1, flag: 1, percent: 82}:       {Charging, 82},
		{mains: 1, flag: 8 | 2, percent: 9}:    {Charging, 9},
		{mains: 1, flag: 128, percent: 255}:    {State: Absent},
		{mains: 255, flag: 255, percent: 255}:  {},
		{mains: 255, flag: 1, percent: 50}:     {},
		{mains: 0, flag: 1, percent: 255}:      {},
		{mains: 255, flag: 8 | 1, percent: 50}: {Charging, 50},
	} {
		require.Equal(t, want, s.battery(), "%+v", s)
	}
	now := Read()
	t.Logf("now: %+v", now)
	require.NotEqual(t, Unknown, now.State, "the system tells")
}
