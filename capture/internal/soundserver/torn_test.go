//go:build linux

package soundserver

import (
	"bytes"
	"io"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/jfreymuth/pulse/proto"
	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/soundtest"
)

// tear stands between us and the server and ends the connection after so
// many bytes of answers.
func tear(t *testing.T, server, path string, after int64) {
	l, err := net.Listen("unix", path)
	require.NoError(t, err)
	t.Cleanup(func() { l.Close() })
	go func() {
		for {
			us, err := l.Accept()
			if err != nil {
				return
			}
			them, err := net.Dial("unix", server)
			if err != nil {
				us.Close()
				continue
			}
			go func() { _, _ = io.Copy(them, us); them.Close() }()
			go func() { _, _ = io.Copy(us, io.LimitReader(them, after)); us.Close(); them.Close() }()
		}
	}()
}

// A connection that ends in the middle of an answer is an error and no more:
// nothing goes on in the background. One asks at a time: the server refuses
// more than 64 at once.
func TestTornAnswers(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 2})
	address := server.Address()[len("unix:"):]
	dir, before := t.TempDir(), runtime.NumGoroutine()
	listeners, torn, wholeFrom := 0, 0, int64(0)
	for after := int64(0); after < 4000; after += 41 {
		path := filepath.Join(dir, time.Duration(after).String())
		tear(t, address, path, after)
		listeners++
		if listSinks(path) != nil {
			torn++
		} else if wholeFrom == 0 {
			wholeFrom = after
		}
	}
	require.Greater(t, torn, 10)
	require.Greater(t, wholeFrom, int64(0), "the longest must be whole")
	require.EqualValues(t, torn, wholeFrom/41, "torn where it is too short, and nowhere else")
	require.Eventually(t, func() bool { return runtime.NumGoroutine() <= before+listeners+4 }, time.Minute, 10*time.Millisecond, "only listeners are left")
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	require.Less(t, m.HeapAlloc, uint64(50<<20))
}

func listSinks(path string) error {
	c, err := open("unix", path, nil)
	if err != nil {
		return err
	}
	defer c.Close()
	return c.Request(&proto.GetSinkInfoList{}, &proto.GetSinkInfoListReply{})
}

// A server that ends every connection at once is none.
func TestAServerThatHangsUp(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s")
	tear(t, filepath.Join(t.TempDir(), "nobody"), path, 0)
	t.Setenv("PULSE_SERVER", "unix:"+path)
	_, err := Connect(nil)
	require.Error(t, err)
}

// Everything the program asks is answered and understood. UPDATE_GOLDEN
// keeps what the server said, for tests without one.
func TestConversationAnew(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 2})
	conn, err := net.Dial("unix", server.Address()[len("unix:"):])
	require.NoError(t, err)
	heard := &hearing{Conn: conn}
	c, err := introduced(heard, nil)
	require.NoError(t, err)
	require.NoError(t, converse(c))
	time.Sleep(50 * time.Millisecond) // some sound
	c.Close()
	<-c.Ended()
	if os.Getenv("UPDATE_GOLDEN") == "" {
		return
	}
	host, err := os.Hostname()
	require.NoError(t, err)
	machine, _ := os.ReadFile("/etc/machine-id")
	said := heard.said
	for _, private := range []string{host, strings.TrimSpace(string(machine))} {
		if private != "" {
			said = bytes.ReplaceAll(said, []byte(private), bytes.Repeat([]byte("h"), len(private)))
		}
	}
	require.NoError(t, os.WriteFile(filepath.Join("testdata", "conversation"), said, 0o644))
}

// hearing keeps what is read.
type hearing struct {
	net.Conn
	said []byte
}

func (h *hearing) Read(b []byte) (int, error) {
	n, err := h.Conn.Read(b)
	h.said = append(h.said, b[:n]...)
	return n, err
}
