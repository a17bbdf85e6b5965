package main

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

type seenDevices struct{ Inputs, Outputs []seenDevice }

type seenDevice struct {
	Name     string   `json:"name"`
	ID       string   `json:"id"`
	Backend  string   `json:"backend"`
	Default  bool     `json:"default"`
	Monitor  bool     `json:"monitor"`
	RatesHz  []int    `json:"rates_hz"`
	Channels int      `json:"channels"`
	Volume   *float64 `json:"volume_db"` // null: unknown
	Quietest *float64 `json:"quietest_channel_db"`
	Muted    *bool    `json:"muted"`
}

func (seenDevices) has(list []seenDevice, name string) bool {
	for _, d := range list {
		if d.Name == name && d.ID != "" && d.Backend != "" {
			return true
		}
	}
	return false
}

func TestDevicesWithoutASoundSystem(t *testing.T) {
	u := newUser(t)
	out := u.ok("devices")
	require.Contains(t, out, "No input: connect")
	require.Contains(t, out, "No output: connect")
	list := objects[seenDevices](t, u.ok("devices", "--json"))
	require.Len(t, list, 1)
	require.Empty(t, list[0].Inputs)
}

func TestBands(t *testing.T) {
	u := newUser(t)
	type list struct {
		Bands []struct {
			Nominal float64 `json:"nominal_hz"`
			Mid     float64 `json:"mid_hz"`
			Low     float64 `json:"low_hz"`
			High    float64 `json:"high_hz"`
			Usually string  `json:"usually"`
		} `json:"bands"`
	}
	all := objects[list](t, u.ok("bands", "--json"))[0].Bands
	require.Len(t, all, 32)
	for i, b := range all {
		// IEC 61260-1: base-ten midbands, edges a twentieth of a decade away.
		mid := 1000 * math.Pow(10, float64(i-18)/10)
		require.InEpsilon(t, mid, b.Mid, 1e-4)
		require.InEpsilon(t, mid/math.Pow(10, 0.05), b.Low, 1e-4)
		require.InEpsilon(t, mid*math.Pow(10, 0.05), b.High, 1e-4)
		require.NotEmpty(t, b.Usually)
	}
	require.EqualValues(t, 31.5, all[3].Nominal)
	text := u.ok("bands")
	require.Equal(t, 33, strings.Count(text, "\n"))
	require.Contains(t, text, "1000 Hz    891.3 Hz")
}
