//go:build proof && linux

package main

import (
	"math"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/soundtest"
	"rollready/presets"
)

// Who speaks before the two microphones.
const (
	nobodySpeaks = iota
	hostSpeaks
	guestSpeaks
)

// couple plays two people into the virtual microphone, a channel each, with
// different voices: the one who speaks, −18 dB of it 3 ms later in the other
// microphone, and the room. The guest's preamplifier is guestDB lower.
func couple(t *testing.T, server *soundtest.Server, guestDB float64) (who *atomic.Int32) {
	who = new(atomic.Int32)
	mono := capture.Format{RateHz: 48000, Channels: 1}
	voices := map[int32][]float32{nobodySpeaks: talk(5, 9, 9, mono), hostSpeaks: talk(14, 0, 14, mono)}
	for i := range 10 * 48000 { // the guest speaks higher and faster
		voices[guestSpeaks] = append(voices[guestSpeaks], voices[hostSpeaks][i*7/5])
	}
	scale, spill, at := float32(math.Pow(10, guestDB/20)), float32(0.125), 0
	server.Play(t, soundtest.RoomID, func(block []float32) int {
		speaks := who.Load()
		voice, room := voices[speaks], voices[nobodySpeaks]
		for i := 0; i < len(block); i += 2 {
			own, later := voice[at%len(voice)], voice[(at+len(voice)-144)%len(voice)]
			noise := 0.3 * room[(7*at)%len(room)]
			block[i], block[i+1] = own, spill*later+noise
			if speaks == guestSpeaks {
				block[i], block[i+1] = block[i+1], block[i]
			}
			block[i+1] *= scale
			at++
		}
		return len(block)
	})
	return who
}

// Two people before two microphones: a check in which each has a turn, whose
// advice is set for both by one key, and, while they talk, advice that names who
// is too quiet.
func TestProofScreenCheckOfTwoPeople(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	who := couple(t, server, -20)
	p := openCamera(t, "--input", soundtest.MicName, "--channels", "1+2", "--names", "host,guest", "--gain", "0,0")
	p.open("Check")
	p.WaitFor("2 host speaks", "3 guest speaks", "enter begins")
	p.Keys("Enter")
	p.WaitFor("It is the turn of host")
	who.Store(hostSpeaks)
	p.WaitFor("It is the turn of guest")
	who.Store(guestSpeaks)
	s := p.WaitFor("Suits each voice here")
	who.Store(nobodySpeaks)
	require.Contains(t, s, "guest: speech peaks sit")
	require.NotContains(t, s, "host: speech peaks")
	p.Keys("a")
	p.WaitFor("Applied. u brings back what was set")
	gains := func(s presets.Settings) (host, guest float64) {
		return s.Strips.Strips[0].Chain.GainDB, s.Strips.Strips[1].Chain.GainDB
	}
	p.kept("what suits each", func(s presets.Settings) bool {
		host, guest := gains(s)
		return math.Abs(host) < 1.5 && math.Abs(guest-20) < 1.5 && s.Strips.Strips[1].Chain.HighPass.On()
	})
	p.Until("both judged anew", func(s string) bool {
		return !strings.Contains(s, "judging anew") && !strings.Contains(s, "guest: speech peaks sit")
	})
	p.Keys("u")
	p.kept("the gains as before", func(s presets.Settings) bool {
		host, guest := gains(s)
		return host == 0 && guest == 0
	})
	p.open("Monitor")
	for end := time.Now().Add(3 * time.Minute); !strings.Contains(p.Screen(), "guest: turn preamp 2 up by about"); {
		require.True(t, time.Now().Before(end), p.Screen())
		who.Store(3 - max(who.Load(), hostSpeaks)) // each in turn
		time.Sleep(4 * time.Second)
	}
}
