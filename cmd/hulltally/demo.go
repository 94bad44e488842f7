package main

type demoCommand struct{}

func (d *demoCommand) Run() error { return errNo }
