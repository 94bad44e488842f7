package handlers

func (s *Server) stagePage(v *Visit) error    { return nil }
func (s *Server) postingsPage(v *Visit) error { return nil }
func (s *Server) bookingPage(v *Visit) error  { return nil }
func (s *Server) lotPage(v *Visit) error      { return nil }
func (s *Server) purchasePage(v *Visit) error { return nil }
func (s *Server) weekPage(v *Visit) error     { return nil }
