package main

type serveCommand struct{}

func (d *serveCommand) Run() error { return errNo }
