package canvas

// Rect is an area of cells; the zero Rect is empty.
type Rect struct{ X, Y, W, H int }

// Contains tells whether a cell lies in the area.
func (r Rect) Contains(x, y int) bool {
	return x >= r.X && y >= r.Y && x < r.X+r.W && y < r.Y+r.H
}

// Clip gives the part of r inside b.
func (r Rect) Clip(b Rect) Rect {
	x, y := max(r.X, b.X), max(r.Y, b.Y)
	return Rect{x, y, max(min(r.X+r.W, b.X+b.W)-x, 0), max(min(r.Y+r.H, b.Y+b.H)-y, 0)}
}

// Row is the n-th row of the area, one cell high.
func (r Rect) Row(n int) Rect { return r.Rows(n, 1) }

// Rows are the rows from n on, as many as are there.
func (r Rect) Rows(n, count int) Rect {
	return Rect{r.X, r.Y + n, r.W, max(min(count, r.H-n), 0)}
}

// Cut takes so many rows off the top of the area; r is what is left below them.
func (r *Rect) Cut(rows int) Rect {
	top := r.Rows(0, rows)
	r.Y, r.H = r.Y+rows, r.H-rows
	return top
}

// Left is the area's left part of so many cells.
func (r Rect) Left(w int) Rect { return Rect{r.X, r.Y, max(min(w, r.W), 0), r.H} }

// Right is the area's right part of so many cells.
func (r Rect) Right(w int) Rect {
	w = max(min(w, r.W), 0)
	return Rect{r.X + r.W - w, r.Y, w, r.H}
}

// Skip leaves out the first cells of each row.
func (r Rect) Skip(n int) Rect { return r.Right(r.W - n) }

// Inset takes a margin off each side.
func (r Rect) Inset(x, y int) Rect {
	return Rect{r.X + x, r.Y + y, max(r.W-2*x, 0), max(r.H-2*y, 0)}
}
