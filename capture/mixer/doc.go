// Package mixer reads what the sound server's mixer does to devices, and to
// our own sound on its way: volume and mute. It changes nothing there.
// PulseAudio tells, and PipeWire by the same protocol; where no such server
// answers everything is unknown.
package mixer
