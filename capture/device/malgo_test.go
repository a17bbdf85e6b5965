//go:build cgo

package device

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/gen2brain/malgo"
	"github.com/stretchr/testify/require"
)

// header is the C library's.
func header(t *testing.T) []byte {
	t.Helper()
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/gen2brain/malgo").Output()
	require.NoError(t, err, "find the binding's source")
	text, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "miniaudio.h"))
	require.NoError(t, err)
	return text
}

// The binding repeats an enumeration of its C library by hand and has been
// seen to be off by one. Ours are checked against the C header itself.
func TestBackendNumbersAreThoseOfTheLibrary(t *testing.T) {
	enum := regexp.MustCompile(`(?s)typedef enum\s*\{([^}]*)\} ma_backend;`).FindSubmatch(header(t))
	require.NotNil(t, enum, "the enumeration is in the header")
	names := regexp.MustCompile(`(?m)^\s*ma_backend_(\w+)`).FindAllStringSubmatch(string(enum[1]), -1)
	require.Greater(t, len(names), 10)
	null := slices.IndexFunc(names, func(m []string) bool { return m[1] == "null" })
	for _, goos := range []string{"linux", "windows", "darwin", "freebsd"} {
		for _, b := range backends(goos) {
			number, ok := backendNumber(b)
			require.True(t, ok, b)
			require.Equal(t, b, names[number][1])
			require.NotEqual(t, malgo.Backend(null), number, "%s must never be silence", b)
		}
	}
}

// hold.c repeats the beginning of the library's device.
func TestTheDeviceBeginsAsInTheLibrary(t *testing.T) {
	fields := regexp.MustCompile(`(?s)\nstruct ma_device\n\{(.*?)ma_mutex startStopLock;`).FindSubmatch(header(t))
	require.NotNil(t, fields, "the structure is in the header")
	var names []string
	for _, m := range regexp.MustCompile(`(?m)^\s*(\S+) (\w+);`).FindAllSubmatch(fields[1], -1) {
		names = append(names, string(m[1])+" "+string(m[2]))
	}
	require.Equal(t, []string{"ma_context* pContext", "ma_device_type type", "ma_uint32 sampleRate", "ma_atomic_device_state state",
		"ma_device_data_proc onData", "ma_device_notification_proc onNotification", "ma_stop_proc onStop", "void* pUserData"}, names)
	require.Contains(t, string(header(t)), "MA_ATOMIC_SAFE_TYPE_DECL(i32, 4, device_state)")
}

func TestUnknownBackendIsRefused(t *testing.T) {
	_, err := connect("null")
	require.ErrorContains(t, err, `sound system "null": choose one of`)
}

func TestWithinComesBackInTimeAndUndoesWhatComesLate(t *testing.T) {
	require.NoError(t, within(time.Second, func() error { return nil }, nil))
	wrong := errors.New("wrong")
	require.Equal(t, wrong, within(time.Second, func() error { return wrong }, nil))

	release, undone := make(chan struct{}), make(chan struct{})
	hung := false
	err := within(10*time.Millisecond, func() error { <-release; return nil }, func() { close(undone) }, func() { hung = true })
	require.ErrorIs(t, err, ErrHung)
	require.True(t, hung)
	close(release)
	<-undone
}

func TestIDsSurviveTheWayToTheBindingAndBack(t *testing.T) {
	for backend, raw := range map[string]string{
		"pulseaudio": "field_mic", "alsa": ":1,0", "coreaudio": "BuiltIn",
		"wasapi":      "{\x000\x00.\x00}\x00",
		"pulseaudio2": "m\xffc\x01",
	} {
		h := &host{backend: strings.TrimSuffix(backend, "2")}
		var d malgo.DeviceInfo
		copy(d.ID[:], raw)
		info := h.info(&d)
		require.True(t, printable(info.ID), "%q", info.ID)
		require.Equal(t, d.ID, h.id(info), "%s %q", backend, info.ID)
	}
}
