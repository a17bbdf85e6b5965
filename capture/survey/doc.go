// Package survey measures recorded files: everything the meters know, in one
// pass, over all cores, in flat memory.
package survey
