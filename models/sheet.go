package models

type sheet interface{}

func (f *file[R]) sheet() sheet { return nil }
