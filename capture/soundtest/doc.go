// Package soundtest gives tests a sound system of their own: a private sound
// server without hardware, a virtual microphone to speak into and a virtual
// camera to listen at. Only tests import it.
//
// It needs the Debian packages pulseaudio and pulseaudio-utils, for
// [OverPipeWire] pipewire, pipewire-pulse, wireplumber and dbus too. Without
// them a test is skipped with a word on what to install; where CI=true it
// fails.
package soundtest
