//go:build proof && linux

package openmetrics_test

import (
	"encoding/json"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/rig"
	"rollready/dsp/verdict"
)

const examples = "../../../testdata/openmetrics"

// A real Prometheus (Debian's package) with the project's own rules scrapes
// for a minute: the alert is quiet, fires when the input clips, and resolves
// after; the console page names the laptop.
func TestProofARealPrometheusWatches(t *testing.T) {
	program, err := exec.LookPath("prometheus")
	require.NoError(t, err, "install Debian's package prometheus")
	var clips atomic.Bool
	server := listen(t, func() rig.State {
		s := field()
		s.Conditions = nil
		if clips.Load() {
			s.Conditions = []verdict.Finding{verdict.Clipped(verdict.On(1), 3)}
		}
		return s
	})
	at := startPrometheus(t, program, server.Address())
	began := time.Now()
	query := func(text string) string {
		_, body := get(t, "http://"+at+"/api/v1/query?query="+text)
		return body
	}
	eventually := func(what string, met func() bool) {
		require.Eventually(t, met, 2*time.Minute, 200*time.Millisecond, what)
	}
	eventually("the first scrape", func() bool { return strings.Contains(query("rollready_camera_headroom_decibels"), "9.25") })
	require.NotContains(t, firing(t, at), "SoundStops")
	clips.Store(true)
	eventually("the alert", func() bool { return strings.Contains(firing(t, at), "SoundStops") })
	clips.Store(false)
	eventually("its end", func() bool { return !strings.Contains(firing(t, at), "SoundStops") })
	eventually("a minute", func() bool { return time.Since(began) > time.Minute })
	require.Contains(t, query("min_over_time(up{job='rollready'}[1m])"), `,"1"]`, "every scrape was answered")
	_, page := get(t, "http://"+at+"/consoles/rollready.html")
	require.Contains(t, page, server.Address())
	require.Contains(t, page, "9.2")
	t.Logf("scrapes in a minute: %s", query("count_over_time(up{job='rollready'}[1m])"))
}

// startPrometheus runs it on the project's example files, the address put in.
func startPrometheus(t *testing.T, program, target string) (address string) {
	dir := t.TempDir()
	config, err := os.ReadFile(filepath.Join(examples, "prometheus.yml"))
	require.NoError(t, err)
	text := strings.ReplaceAll(string(config), "127.0.0.1:9184", target)
	require.NotEqual(t, string(config), text)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "prometheus.yml"), []byte(text), 0o644))
	rules, err := os.ReadFile(filepath.Join(examples, "rules.yml"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "rules.yml"), rules, 0o644))
	free, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	address = free.Addr().String()
	require.NoError(t, free.Close())
	consoles, err := filepath.Abs(filepath.Join(examples, "consoles"))
	require.NoError(t, err)
	run := exec.Command(program, "--config.file="+filepath.Join(dir, "prometheus.yml"), "--storage.tsdb.path="+filepath.Join(dir, "data"),
		"--web.listen-address="+address, "--web.console.templates="+consoles, "--log.level=error")
	var said strings.Builder
	run.Stdout, run.Stderr = &said, &said
	require.NoError(t, run.Start())
	t.Cleanup(func() {
		_ = run.Process.Kill()
		_ = run.Wait()
		if t.Failed() {
			t.Log(said.String())
		}
	})
	require.Eventually(t, func() bool {
		c, err := net.Dial("tcp", address)
		if err == nil {
			c.Close()
		}
		return err == nil
	}, time.Minute, 100*time.Millisecond, "Prometheus listens")
	return address
}

// firing names the alerts that fire.
func firing(t *testing.T, at string) string {
	_, body := get(t, "http://"+at+"/api/v1/alerts")
	var answer struct {
		Data struct {
			Alerts []struct {
				State  string
				Labels map[string]string
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(body), &answer))
	var names []string
	for _, a := range answer.Data.Alerts {
		if a.State == "firing" {
			names = append(names, fmt.Sprintf("%s %s", a.Labels["alertname"], a.Labels["code"]))
		}
	}
	return strings.Join(names, "\n")
}
