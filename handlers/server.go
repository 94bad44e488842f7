package handlers

import (
	"log/slog"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/gin-gonic/gin"

	"hulltally/costing"
	"hulltally/labels"
	"hulltally/models"
)

// Options are what a server is made with.
type Options struct {
	Store *models.Store
	// Now is the clock; nil is the machine's.
	Now func() time.Time
	// Log takes the access log and the texts of faults; nil drops them.
	Log *slog.Logger
	// Secure says that browsers come over TLS: cookies are marked so.
	Secure bool
	// BehindProxy says that a proxy of ours is in front, whose word on where a
	// request came from is taken.
	BehindProxy bool
	// ReadsPerSecond bounds the requests of one station key; 0 is the default,
	// below 0 there is no bound.
	ReadsPerSecond int
	// Fonts are for cards with names in other scripts; nil is the built-in font.
	Fonts *labels.Fonts
	// Photos finds the photo on a worker's badge; nil has none.
	Photos func(worker string) []byte
}

// Server answers the pages and the API of one yard.
type Server struct {
	store    *models.Store
	now      func() time.Time
	log      *slog.Logger
	secure   bool
	proxy    bool
	routes   []Route
	intake   *models.Intake
	sessions *scs.SessionManager
	keys     *keyring
	limits   *limits
	patience *patience
	pages    *pages
	openapi  []byte
	handler  http.Handler
	desk     waitingCount

	fonts   *labels.Fonts
	photos  func(worker string) []byte
	drawing chan struct{} // holds one for each sheet that is being drawn

	// fits compares a password with a hash; tests count how often.
	fits func(password, hash string) bool
}

// New makes a server. Close it when done.
func New(o Options) (*Server, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	s := &Server{
		store: o.Store, now: o.Now, log: o.Log, secure: o.Secure, proxy: o.BehindProxy,
		routes: routeTable(), fits: models.PasswordFits,
		fonts: o.Fonts, photos: o.Photos, drawing: make(chan struct{}, sheetsAtOnce),
	}
	s.keys = &keyring{store: o.Store, now: o.Now, known: map[string]*heldKey{}}
	s.limits = newLimits(o.Now, o.ReadsPerSecond)
	s.patience = &patience{now: o.Now, tries: map[string]*trying{}}
	s.sessions = newSessions(o.Store, o.Now, o.Secure)
	var err error
	if s.pages, err = readPages(); err != nil {
		return nil, err
	}
	if s.openapi, err = describe(s.routes); err != nil {
		return nil, err
	}
	s.handler = s.outer(s.guard(s.withSession(s.engine())))
	s.intake = models.NewIntake(o.Store, o.Now)
	return s, nil
}

// Handler is the server's answer to requests.
func (s *Server) Handler() http.Handler { return s.handler }

// Close takes in the reads that are queued, then stops.
func (s *Server) Close() { s.intake.Close() }

// engine is gin with the routes of the table and nothing else.
func (s *Server) engine() *gin.Engine {
	gin.SetMode(gin.ReleaseMode)
	e := gin.New()
	e.HandleMethodNotAllowed = true
	e.UseRawPath = true // a key of the yard's may hold a slash
	e.RedirectTrailingSlash, e.RedirectFixedPath = false, false
	for i := range s.routes {
		r := &s.routes[i]
		e.Handle(r.Method, r.Path, s.chain(r)...)
	}
	e.NoRoute(func(c *gin.Context) { s.fail(c, errNoPage) })
	e.NoMethod(func(c *gin.Context) { s.fail(c, errMethod) })
	return e
}

// deed is who acts in a visit, for the logbook.
func (s *Server) deed(v *Visit) models.Deed {
	return models.Deed{Who: v.Caller.Name(), Source: traceOf(v.Request.Context()).source, At: costing.InstantOf(s.now())}
}
