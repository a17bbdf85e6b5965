//go:build linux

package soundserver

import (
	"io"
	"net"
	"path/filepath"
	"runtime"
	"sync"
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
// nothing goes on in the background.
func TestTornAnswers(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 2})
	address := server.Address()[len("unix:"):]
	dir, before := t.TempDir(), runtime.NumGoroutine()
	results := make(chan error, 1000)
	var asking sync.WaitGroup
	for after := int64(0); after < 4000; after += 41 {
		path := filepath.Join(dir, time.Duration(after).String())
		tear(t, address, path, after)
		asking.Go(func() { results <- listSinks(path) })
	}
	asking.Wait()
	close(results)
	failed, all := 0, 0
	for err := range results {
		if all++; err != nil {
			failed++
		}
	}
	require.Less(t, failed, all, "the longest must be whole")
	require.Greater(t, failed, all/4)
	t.Logf("%d of %d torn", failed, all)
	require.Eventually(t, func() bool { return runtime.NumGoroutine() <= before+all+4 }, time.Minute, 10*time.Millisecond, "only listeners are left")
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
