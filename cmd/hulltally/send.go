package main

import "context"

func (s *scanCommand) send(_ context.Context, _ env) error { return errNo }
