// Package mixer reads what the system's mixer does to devices, and to our own
// sound on its way: volume and mute. It changes nothing there. On Linux
// PulseAudio tells, and PipeWire by the same protocol; on Windows the endpoint
// volumes and this program's session; on macOS the devices' own controls,
// written from memory of the published interface and not tried yet. Where nobody
// tells everything is unknown.
package mixer
