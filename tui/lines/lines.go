// Package lines is the face of a rig where there is no screen: it leads a person
// through a check, a line-up and a take line by line, and prints tables.
package lines
