// Package presets keeps what a person set: presets, camera profiles and
// settings, as TOML files that a text editor can read.
package presets
