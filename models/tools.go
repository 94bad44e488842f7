package models

import "hulltally/costing/tooling"

// Tools says what each tool cost and how that is spread over its hulls.
func (c *Cost) Tools() ([]tooling.Row, error) {
	return tooling.Books(c.Yard, c.Day, c.Rows, c.Cells)
}
