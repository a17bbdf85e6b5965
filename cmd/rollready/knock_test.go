package main

import (
	"crypto/ed25519"
	"crypto/rand"
	"fmt"
	"io"
	mrand "math/rand/v2"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	gossh "golang.org/x/crypto/ssh"

	"rollready/capture"
	"rollready/capture/rig"
	"rollready/capture/rig/openmetrics"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/tui/share"
)

// handfed is an input that delivers when the test says so.
type handfed struct {
	deliver func([]float32)
	done    chan struct{}
}

func (*handfed) Name() string                          { return "Mic" }
func (*handfed) Kind() capture.Kind                    { return capture.File }
func (*handfed) Format() capture.Format                { return capture.Format{RateHz: 48000, Channels: 2} }
func (h *handfed) Start(deliver func([]float32)) error { h.deliver = deliver; return nil }
func (h *handfed) Done() <-chan struct{}               { return h.done }
func (*handfed) Close() error                          { return nil }

// callback gives the shortest time of a hundred, and their median, that the
// input's callback takes for 10 ms of sound. The shortest is what the work
// itself costs; the median holds what other programs do to it, too.
func callback(h *handfed) (shortest, median time.Duration) {
	var took []time.Duration
	block := make([]float32, 960)
	for range 200 {
		began := time.Now()
		h.deliver(block)
		took = append(took, time.Since(began))
		time.Sleep(2 * time.Millisecond)
	}
	slices.Sort(took)
	return took[0], took[len(took)/2]
}

// knock sends a port what a scan does: junk, halves of what is asked for, and
// connections that say nothing.
func knock(address string, junk *mrand.Rand) {
	c, err := net.DialTimeout("tcp", address, time.Second)
	if err != nil {
		return
	}
	defer c.Close()
	_ = c.SetDeadline(time.Now().Add(100 * time.Millisecond))
	b := make([]byte, junk.IntN(20000))
	for i := range b {
		b[i] = byte(junk.Uint32())
	}
	begins := []string{"", "SSH-2.0-x\r\n", "SSH-2.0-x\r\n\x00\x00\x00\x2c\x06\x14", "GET /metrics HTTP/1.1\r\nHost: x\r\nX: ", "\x16\x03\x01\x02\x00\x01", "SSH-1.5-"}
	_, _ = c.Write(append([]byte(begins[junk.IntN(len(begins))]), b...))
	_, _ = io.Copy(io.Discard, io.LimitReader(c, 1<<16))
}

// TestPortScan: both servers, knocked at a thousand times, leave no goroutine
// and no memory behind, draw nothing for those who knock, and the input's
// callback takes no longer meanwhile. Both answer after it.
func TestPortScan(t *testing.T) {
	dir, mic := t.TempDir(), &handfed{done: make(chan struct{})}
	public, _, err := ed25519.GenerateKey(rand.Reader)
	require.NoError(t, err)
	key, err := gossh.NewPublicKey(public)
	require.NoError(t, err)
	keys := filepath.Join(dir, "keys")
	require.NoError(t, os.WriteFile(keys, gossh.MarshalAuthorizedKey(key), 0o600))
	s, err := session.Open(session.Options{Open: func() (capture.Source, error) { return mic, nil }, View: dsp.DefaultView()})
	require.NoError(t, err)
	defer s.Close()
	var looked atomic.Int64
	viewers, err := share.Listen(share.Options{Address: "0", HostKey: filepath.Join(dir, "host_key"), Keys: keys,
		Look: func(share.Viewer) error { looked.Add(1); return nil }})
	require.NoError(t, err)
	defer viewers.Close()
	metrics, err := openmetrics.Listen("0", func() rig.State { return rig.State{Status: s.Status(), Reading: s.Reading()} }, nil)
	require.NoError(t, err)
	defer metrics.Close()
	shortest, median := callback(mic)
	goroutines, memory := runtime.NumGoroutine(), inUse()

	const each = 500
	var all sync.WaitGroup
	for i, at := range []string{viewers.Address(), metrics.Address()} {
		for k := range 4 {
			all.Go(func() {
				junk := mrand.New(mrand.NewPCG(uint64(i), uint64(k)))
				for range each / 4 {
					knock(at, junk)
				}
			})
		}
	}
	shortestThen, medianThen := callback(mic)
	all.Wait()
	t.Logf("callback: shortest %v, knocked at %v; median %v, knocked at %v", shortest, shortestThen, median, medianThen)
	require.Less(t, shortestThen, 2*shortest+50*time.Microsecond)
	require.Zero(t, looked.Load())
	require.Eventually(t, func() bool { return runtime.NumGoroutine() <= goroutines+4 }, time.Minute, 50*time.Millisecond,
		fmt.Sprintf("%d goroutines before", goroutines))
	require.Eventually(t, func() bool { return inUse() < memory+4<<20 }, time.Minute, 100*time.Millisecond, "4 MB at most")
	require.Eventually(t, func() bool {
		answer, err := http.Get("http://" + metrics.Address() + openmetrics.Path)
		if err != nil {
			return false
		}
		answer.Body.Close()
		return answer.StatusCode == http.StatusOK
	}, time.Minute, 100*time.Millisecond)
	require.Eventually(t, func() bool {
		c, err := net.Dial("tcp", viewers.Address())
		if err != nil {
			return false
		}
		defer c.Close()
		_ = c.SetDeadline(time.Now().Add(time.Second))
		hello := make([]byte, 8)
		_, err = io.ReadFull(c, hello)
		return err == nil && string(hello) == "SSH-2.0-"
	}, time.Minute, 100*time.Millisecond)
}

func inUse() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}
