// Command rollready gets the sound right before the camera rolls.
package main

// Each package below is used by a part that has yet to join.
import (
	_ "github.com/adrg/xdg"
	_ "github.com/charmbracelet/bubbles/textinput"
	_ "github.com/charmbracelet/bubbletea"
	_ "github.com/charmbracelet/lipgloss"
	_ "github.com/charmbracelet/x/ansi"
	_ "github.com/gen2brain/malgo"
	_ "github.com/google/renameio/v2"
	_ "github.com/mattn/go-isatty"
	_ "github.com/mattn/go-runewidth"
	_ "github.com/mewkiz/flac"
	_ "github.com/mjibson/go-dsp/fft"
	_ "github.com/muesli/termenv"
	_ "github.com/pelletier/go-toml/v2"
	_ "github.com/spf13/cobra"
	_ "github.com/stretchr/testify/require"
	_ "golang.org/x/sys/cpu"
)

func main() {}
