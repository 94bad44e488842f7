package costing

// Tool is a plug, a mould, a jig or a design: what is made once and used for
// several hulls. Its cost is gathered under its key as a hull's is.
type Tool struct {
	Key, Name, Kind string
	Begun           Date  // the day whose standard rates its estimate has
	Planned         int64 // uses it is meant for
	Uses            []ToolUse
}

// ToolUse is what a hull uses of a tool: planned, and made on the day On.
type ToolUse struct {
	Hull string
	Uses int64
	On   *Date
}
