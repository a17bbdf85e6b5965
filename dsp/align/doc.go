// Package align lines up two recordings of the same take: how much later one
// began, and how far its clock runs off. First the outlines of their levels
// are compared as a whole, then their waves at many places.
package align
