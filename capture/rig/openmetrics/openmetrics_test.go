package openmetrics_test

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"net"
	"net/http"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/rig"
	"rollready/capture/rig/openmetrics"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/dsp/verdict"
)

// field is the state of a laptop on location.
func field() rig.State {
	var s rig.State
	s.Status = session.Status{Source: "Field \"Mic\"\n2", Kind: capture.Device, Dropouts: 7}
	s.Reading = dsp.Reading{Frames: 48000, RateHz: 48000, Channels: 2, Fed: 2}
	s.Reading.Input[0].TruePeakDBTP, s.Reading.Input[1].TruePeakDBTP = -12.5, math.Inf(-1)
	s.Reading.Camera[0].HeadroomDB, s.Reading.Camera[1].HeadroomDB = 9.25, math.Inf(1)
	s.Reading.Loudness = dsp.Loudness{MomentaryLUFS: -23, IntegratedLUFS: math.NaN()}
	s.Rec.DiskFree = -1
	s.Conditions = []verdict.Finding{verdict.Clipped(verdict.On(1), 3), verdict.Clipped(verdict.On(2), 1)}
	return s
}

func listen(t *testing.T, state func() rig.State) *openmetrics.Server {
	t.Helper()
	s, err := openmetrics.Listen("0", state, nil)
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func get(t *testing.T, url string) (status int, body string) {
	t.Helper()
	answer, err := http.Get(url)
	require.NoError(t, err)
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	return answer.StatusCode, string(text)
}

func TestAScrapeTellsTheState(t *testing.T) {
	s := listen(t, field)
	require.True(t, strings.HasPrefix(s.Address(), "127.0.0.1:"), "this machine only: %s", s.Address())
	status, body := get(t, "http://"+s.Address()+openmetrics.Path)
	require.Equal(t, http.StatusOK, status)
	for _, line := range []string{
		`rollready_input_true_peak_dbtp{channel="1"} -12.5`, `rollready_input_true_peak_dbtp{channel="2"} -Inf`,
		`rollready_camera_headroom_decibels{channel="1"} 9.25`, `rollready_loudness_momentary_lufs -23`,
		`rollready_condition{code="input-clipped",severity="stop"} 1`, `rollready_dropped_frames_total 7`,
		`rollready_input_info{kind="device",source="Field \"Mic\"\n2"} 1`, `rollready_take_rolling 0`,
	} {
		require.Contains(t, body, line+"\n")
	}
	for _, unknown := range []string{"integrated_lufs ", "disk_free", "battery", "take_elapsed"} {
		require.NotContains(t, body, unknown, "what is unknown is left out")
	}
	// Prometheus' own check of names, units and help texts.
	problems, err := promlint.New(strings.NewReader(body)).Lint()
	require.NoError(t, err)
	require.Empty(t, problems)
}

func TestNothingElseIsAnswered(t *testing.T) {
	s := listen(t, field)
	for _, path := range []string{"/", "/metrics/", "/metrics/../../etc/passwd", "/debug/pprof/", "/-/quit"} {
		status, _ := get(t, "http://"+s.Address()+path)
		require.Equal(t, http.StatusNotFound, status, path)
	}
	answer, err := http.Post("http://"+s.Address()+openmetrics.Path, "text/plain", strings.NewReader("x"))
	require.NoError(t, err)
	answer.Body.Close()
	require.Equal(t, http.StatusMethodNotAllowed, answer.StatusCode)
}

func TestAddressesThatAreNone(t *testing.T) {
	for _, bad := range []string{"", "no port", "127.0.0.1", "1.2.3.4:99999", ":", "127.0.0.1:"} {
		_, err := openmetrics.Listen(bad, field, nil)
		require.ErrorContains(t, err, "give a port", "%q", bad)
	}
	s := listen(t, field)
	_, err := openmetrics.Listen(s.Address(), field, nil)
	require.ErrorContains(t, err, "in use")
}

// A flood of connections, half requests and junk is turned away: the state is
// asked for a bounded number of times, nothing is left behind, and a scrape
// after it is answered.
func TestJunkIsTurnedAway(t *testing.T) {
	var asked atomic.Int64
	s := listen(t, func() rig.State { asked.Add(1); return field() })
	before := runtime.NumGoroutine()
	r := rand.New(rand.NewPCG(5, 5))
	began := time.Now()
	for i := range 600 {
		c, err := net.DialTimeout("tcp", s.Address(), time.Second)
		if err != nil {
			continue // the queue is full
		}
		switch i % 3 {
		case 0:
			junk := make([]byte, r.IntN(9000))
			for k := range junk {
				junk[k] = byte(r.Uint32())
			}
			_, _ = c.Write(junk)
		case 1:
			_, _ = fmt.Fprintf(c, "GET %s HTTP/1.1\r\nHost: x\r\nX: %s", openmetrics.Path, strings.Repeat("a", r.IntN(500)))
		case 2:
			_, _ = fmt.Fprintf(c, "GET %s HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", openmetrics.Path)
			_ = c.SetReadDeadline(time.Now().Add(time.Second))
			_, _ = bufio.NewReader(c).ReadString('\n')
		}
		c.Close()
	}
	allowed := int64(10 + 10*time.Since(began).Seconds() + 1)
	require.LessOrEqual(t, asked.Load(), allowed)
	require.Eventually(t, func() bool {
		answer, err := http.Get("http://" + s.Address() + openmetrics.Path)
		if err != nil {
			return false
		}
		answer.Body.Close()
		return answer.StatusCode == http.StatusOK
	}, 20*time.Second, 50*time.Millisecond)
	http.DefaultClient.CloseIdleConnections()
	require.Eventually(t, func() bool { return runtime.NumGoroutine() <= before+3 }, 20*time.Second, 50*time.Millisecond)
}
