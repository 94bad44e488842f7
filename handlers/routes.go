package handlers

import (
	"net/http"
	"slices"

	"hulltally/models"
)

// Route is one thing that can be asked of the server: the only place that says
// who may ask it, how large the body may be and how often.
type Route struct {
	Method, Path string
	// Who may; empty is nobody at all.
	Who Roles
	// Body is the largest body in bytes; 0 takes none.
	Body int64
	Rate rateClass
	Do   func(*Server, *Visit) error
	// Nav is the page's name in the navigation of those who may see it. The
	// first of a role is its home.
	Nav string
	// NavFor, where set, are those who have it in their navigation; without it
	// all who may use the route.
	NavFor Roles
	// Zip says that the answer is compressed. Answers with secrets are not.
	Zip bool
	// API describes a route of the API.
	API *operation
}

// Roles are who may use a route.
type Roles []models.Role

// nobody is a caller who has neither signed in nor a key.
const nobody models.Role = ""

// allow reports whether a role is among them.
func (r Roles) allow(role models.Role) bool { return slices.Contains(r, role) }

// Groups of roles that routes name.
var (
	people   = Roles{models.TeamLeader, models.Stores, models.Estimator, models.Bookkeeper, models.Owner}
	browsers = append(Roles{nobody}, people...) // signed in or not
	anyone   = append(Roles{nobody, models.Station}, people...)
	stations = Roles{models.Station}
	owner    = Roles{models.Owner}
	counters = Roles{models.Owner, models.Bookkeeper, models.Estimator}                 // who see cost and margin
	payroll  = Roles{models.Owner, models.Bookkeeper}                                   // who see what a person earns
	onFloor  = Roles{models.TeamLeader, models.Stores}                                  // who see quantities, never money
	tracers  = Roles{models.TeamLeader, models.Stores, models.Bookkeeper, models.Owner} // who see which worker put what where
	leaders  = Roles{models.TeamLeader, models.Owner}
	factor   = Roles{models.Bookkeeper, models.Owner}                // may have a second factor
	desk     = Roles{models.TeamLeader, models.Stores, models.Owner} // who see the stores at work
	deskSees = append(Roles{models.Station}, desk...)
	printers = Roles{models.TeamLeader, models.Stores, models.Owner}
)

const (
	formBody  = 16 << 10
	readsBody = 1 << 20
	listBody  = 4 << 20 // an uploaded list, or a form with every line of an estimate
)

// routeTable is every route there is. To add a page: a row here, a handler in a
// file of its own that ends in v.Page, and a template.
func routeTable() []Route {
	get, post := http.MethodGet, http.MethodPost
	return []Route{
		// Pages.
		{Method: get, Path: "/", Who: browsers, Rate: ratePage, Do: (*Server).home},
		{Method: get, Path: "/board", Who: counters, Rate: ratePage, Do: (*Server).boardPage, Nav: "Board", Zip: true},
		{Method: get, Path: deskPath, Who: leaders, Rate: ratePage, Do: (*Server).deskPage, Nav: "Desk", Zip: true},
		{Method: get, Path: storesPath, Who: anyone, Rate: ratePage, Do: (*Server).storesPage, Nav: "Stores desk", NavFor: desk, Zip: true},
		{Method: get, Path: "/hull/:hull", Who: counters, Rate: ratePage, Do: (*Server).hullPage, Zip: true},
		{Method: get, Path: "/hull/:hull/stage/:stage", Who: counters, Rate: ratePage, Do: (*Server).stagePage, Zip: true},
		{Method: post, Path: "/hull/:hull/stage/:stage/state", Who: staters, Body: formBody, Rate: ratePage, Do: (*Server).stateForecast},
		{Method: get, Path: "/stage/:stage", Who: counters, Rate: ratePage, Do: (*Server).stageHullsPage, Zip: true},
		{Method: get, Path: "/hours", Who: payroll, Rate: ratePage, Do: (*Server).hoursPage, Nav: "Hours", Zip: true},
		{Method: get, Path: "/postings", Who: counters, Rate: ratePage, Do: (*Server).postingsPage, Zip: true},
		{Method: get, Path: "/booking/:entry", Who: counters, Rate: ratePage, Do: (*Server).bookingPage, Zip: true},
		{Method: get, Path: "/lot/:lot", Who: counters, Rate: ratePage, Do: (*Server).lotPage, Zip: true},
		{Method: get, Path: "/purchase", Who: counters, Rate: ratePage, Do: (*Server).purchasePage, Zip: true},
		{Method: get, Path: "/worker/:worker/week/:week", Who: payroll, Rate: ratePage, Do: (*Server).weekPage, Zip: true},
		{Method: get, Path: "/material", Who: people, Rate: ratePage, Do: (*Server).materialPage, Nav: "Material", Zip: true},
		{Method: get, Path: "/hull/:hull/material", Who: people, Rate: ratePage, Do: (*Server).hullMaterialPage, Zip: true},
		{Method: get, Path: "/hull/:hull/mass", Who: people, Rate: ratePage, Do: (*Server).hullMassPage, Zip: true},
		{Method: get, Path: "/hull/:hull/batches", Who: tracers, Rate: ratePage, Do: (*Server).hullBatchesPage, Zip: true},
		{Method: get, Path: "/trace", Who: tracers, Rate: ratePage, Do: (*Server).tracePage, Zip: true},
		{Method: get, Path: "/order", Who: people, Rate: ratePage, Do: (*Server).orderPage, Nav: "To order", Zip: true},
		{Method: get, Path: "/estimates", Who: counters, Rate: ratePage, Do: (*Server).estimatesPage, Nav: "Estimates", Zip: true},
		{Method: get, Path: "/estimates/new", Who: makers, Rate: ratePage, Do: (*Server).newEstimatePage, Zip: true},
		{Method: post, Path: "/estimates/new", Who: makers, Body: formBody, Rate: ratePage, Do: (*Server).newEstimate},
		{Method: get, Path: "/estimates/upload", Who: makers, Rate: ratePage, Do: (*Server).uploadPage},
		{Method: post, Path: "/estimates/upload", Who: makers, Body: listBody, Rate: rateReport, Do: (*Server).takeUpload, Zip: true},
		{Method: get, Path: "/estimate/:hull", Who: counters, Rate: ratePage, Do: (*Server).estimatePage, Zip: true},
		{Method: get, Path: "/estimate/:hull/compare", Who: counters, Rate: ratePage, Do: (*Server).comparePage, Zip: true},
		{Method: get, Path: "/estimate/:hull/what-if", Who: counters, Rate: ratePage, Do: (*Server).whatIfPage, Zip: true},
		{Method: post, Path: "/estimate/:hull/what-if", Who: makers, Body: formBody, Rate: ratePage, Do: (*Server).keepWhatIf},
		{Method: get, Path: "/estimate/:hull/edit", Who: makers, Rate: ratePage, Do: (*Server).editPage, Zip: true},
		{Method: post, Path: "/estimate/:hull/edit", Who: makers, Body: listBody, Rate: ratePage, Do: (*Server).keepEdit, Zip: true},
		{Method: post, Path: "/estimate/:hull/sign", Who: makers, Body: formBody, Rate: ratePage, Do: (*Server).signForm},
		{Method: post, Path: "/estimate/:hull/freeze", Who: makers, Body: formBody, Rate: ratePage, Do: (*Server).freezeForm},
		{Method: get, Path: "/change-orders", Who: counters, Rate: ratePage, Do: (*Server).changeOrdersPage, Nav: "Change orders", Zip: true},
		{Method: post, Path: "/change-orders", Who: makers, Body: formBody, Rate: ratePage, Do: (*Server).newChangeOrder},
		{Method: get, Path: "/change-orders/:change", Who: counters, Rate: ratePage, Do: (*Server).changeOrderPage, Zip: true},
		{Method: post, Path: "/change-orders/:change", Who: makers, Body: formBody, Rate: ratePage, Do: (*Server).moveChangeOrder},
		{Method: post, Path: "/change-orders/:change/lines", Who: makers, Body: formBody, Rate: ratePage, Do: (*Server).addOrderLine},
		{Method: get, Path: "/tooling", Who: counters, Rate: ratePage, Do: (*Server).toolingPage, Nav: "Tooling", Zip: true},
		{Method: post, Path: "/tooling", Who: makers, Body: formBody, Rate: ratePage, Do: (*Server).enterTool},
		{Method: post, Path: "/tooling/use", Who: makers, Body: formBody, Rate: ratePage, Do: (*Server).enterToolUse},
		{Method: get, Path: "/stages", Who: counters, Rate: ratePage, Do: (*Server).stagesListPage, Nav: "Stages"},
		{Method: post, Path: "/stages", Who: makers, Body: formBody, Rate: ratePage, Do: (*Server).enterStage},
		{Method: post, Path: "/stages/ready", Who: makers, Body: formBody, Rate: ratePage, Do: (*Server).enterReadyStages},
		{Method: get, Path: "/reports", Who: people, Rate: ratePage, Do: (*Server).reportsPage, Nav: "Reports"},
		{Method: get, Path: "/reports/:name", Who: people, Rate: ratePage, Do: (*Server).reportPage, Zip: true},
		{Method: get, Path: "/month-end", Who: payroll, Rate: ratePage, Do: (*Server).monthEndPage, Nav: "Month end", Zip: true},
		{Method: get, Path: "/month-end/table/:table", Who: payroll, Rate: ratePage, Do: (*Server).monthTablePage, Zip: true},
		{Method: get, Path: "/month-end/pack.pdf", Who: payroll, Rate: rateReport, Do: (*Server).packPDF},
		{Method: get, Path: "/month-end/pack.xlsx", Who: payroll, Rate: rateReport, Do: (*Server).packXLSX},
		{Method: post, Path: "/month-end/close", Who: payroll, Body: formBody, Rate: ratePage, Do: (*Server).closeMonth},
		{Method: post, Path: "/month-end/sign", Who: payroll, Body: formBody, Rate: ratePage, Do: (*Server).signDifference},
		{Method: post, Path: "/month-end/reopen", Who: payroll, Body: formBody, Rate: ratePage, Do: (*Server).reopenMonth},
		// The team leader's desk. Nothing on it tells money.
		{Method: get, Path: "/desk/floor", Who: leaders, Rate: ratePage, Do: (*Server).deskFloorPart, Zip: true},
		{Method: get, Path: "/desk/wall", Who: leaders, Rate: ratePage, Do: (*Server).wallPage, Zip: true},
		{Method: post, Path: "/desk/settle", Who: leaders, Body: formBody, Rate: ratePage, Do: (*Server).settle},
		{Method: post, Path: "/desk/rework", Who: leaders, Body: formBody, Rate: ratePage, Do: (*Server).openRework},
		{Method: get, Path: "/desk/person/:worker", Who: leaders, Rate: ratePage, Do: (*Server).sheetPage, Zip: true},
		{Method: get, Path: "/desk/person/:worker/correct", Who: leaders, Rate: ratePage, Do: (*Server).correctPage, Zip: true},
		{Method: post, Path: "/desk/person/:worker/correct", Who: leaders, Body: formBody, Rate: ratePage, Do: (*Server).correct},
		{Method: get, Path: "/desk/weeks", Who: leaders, Rate: ratePage, Do: (*Server).deskWeeksPage, Zip: true},
		{Method: post, Path: "/desk/weeks/approve", Who: leaders, Body: formBody, Rate: ratePage, Do: (*Server).approve},
		{Method: get, Path: "/desk/jobs", Who: leaders, Rate: ratePage, Do: (*Server).deskJobsPage, Zip: true},
		{Method: get, Path: "/desk/job/:job", Who: leaders, Rate: ratePage, Do: (*Server).deskJobPage, Zip: true},
		{Method: post, Path: "/desk/job/:job/progress", Who: leaders, Body: formBody, Rate: ratePage, Do: (*Server).stateProgress},
		{Method: post, Path: "/desk/job/:job/check", Who: leaders, Body: formBody, Rate: ratePage, Do: (*Server).noteCheck},
		{Method: post, Path: "/desk/job/:job/hold", Who: leaders, Body: formBody, Rate: ratePage, Do: (*Server).putHold},

		{Method: get, Path: "/stations", Who: leaders, Rate: ratePage, Do: (*Server).stationsPage, Nav: "Stations"},
		{Method: post, Path: "/stations/code", Who: leaders, Body: formBody, Rate: ratePage, Do: (*Server).makeEnrolCode},
		{Method: post, Path: "/stations/revoke", Who: leaders, Body: formBody, Rate: ratePage, Do: (*Server).revokeKey},
		{Method: get, Path: "/people", Who: owner, Rate: ratePage, Do: (*Server).peoplePage, Nav: "People"},
		{Method: post, Path: "/people", Who: owner, Body: formBody, Rate: ratePage, Do: (*Server).addPerson},
		{Method: post, Path: "/people/change", Who: owner, Body: formBody, Rate: ratePage, Do: (*Server).changePerson},
		{Method: get, Path: "/record/:worker", Who: owner, Rate: ratePage, Do: (*Server).recordPage},
		{Method: post, Path: "/record/remove", Who: owner, Body: formBody, Rate: ratePage, Do: (*Server).removeName},
		{Method: get, Path: "/logbook", Who: owner, Rate: ratePage, Do: (*Server).logbookPage, Nav: "Logbook", Zip: true},
		{Method: get, Path: "/logbook/changes", Who: owner, Rate: ratePage, Do: (*Server).changesPage, Zip: true},

		// Cards and labels; which kinds a role prints is said in printsFor.
		{Method: get, Path: "/print", Who: printers, Rate: ratePage, Do: (*Server).printPage, Nav: "Print", Zip: true},
		{Method: get, Path: "/print/page.svg", Who: printers, Rate: rateReport, Do: (*Server).printPicture, Zip: true},
		{Method: get, Path: "/print/sheet.pdf", Who: printers, Rate: rateReport, Do: (*Server).proofSheet},
		{Method: post, Path: "/print/sheet.pdf", Who: printers, Rate: rateReport, Do: (*Server).printSheet},
		{Method: get, Path: "/print/lost", Who: printers, Rate: ratePage, Do: (*Server).lostPage},
		{Method: post, Path: "/print/lost", Who: printers, Body: formBody, Rate: ratePage, Do: (*Server).revokeCode},

		// Signing in.
		{Method: get, Path: "/sign-in", Who: browsers, Rate: ratePage, Do: (*Server).signInPage},
		{Method: post, Path: "/sign-in", Who: browsers, Body: formBody, Rate: rateSignIn, Do: (*Server).signIn},
		{Method: get, Path: "/sign-in/code", Who: browsers, Rate: ratePage, Do: (*Server).codePage},
		{Method: post, Path: "/sign-in/code", Who: browsers, Body: formBody, Rate: rateSignIn, Do: (*Server).signInCode},
		{Method: post, Path: "/sign-out", Who: browsers, Body: formBody, Rate: ratePage, Do: (*Server).signOut},
		{Method: get, Path: "/choose-password", Who: browsers, Rate: rateSignIn, Do: (*Server).choosePage},
		{Method: post, Path: "/choose-password", Who: browsers, Body: formBody, Rate: rateSignIn, Do: (*Server).choose},
		{Method: get, Path: "/account", Who: people, Rate: ratePage, Do: (*Server).accountPage, Nav: "My account"},
		{Method: post, Path: "/account/password", Who: people, Body: formBody, Rate: rateSignIn, Do: (*Server).changePassword},
		{Method: post, Path: "/account/second-factor", Who: factor, Body: formBody, Rate: rateSignIn, Do: (*Server).setSecondFactor},

		// Files of the pages.
		{Method: get, Path: "/static/*file", Who: anyone, Rate: rateStatic, Do: (*Server).static, Zip: true},

		// The page of the stations. It is the same for everybody; the station's key is kept in its browser.
		{Method: get, Path: stationPath, Who: anyone, Rate: ratePage, Do: (*Server).stationPage, Zip: true},
		{Method: get, Path: stationWorkerPath, Who: anyone, Rate: rateStatic, Do: (*Server).stationWorker, Zip: true},
		{Method: get, Path: "/lang/:name", Who: anyone, Rate: rateStatic, Do: (*Server).floorWords, Zip: true},

		// For programs.
		{Method: post, Path: "/api/reads", Who: stations, Body: readsBody, Rate: rateReads, Do: (*Server).takeReads, API: readsOperation},
		{Method: post, Path: "/api/enrol", Who: anyone, Body: 1 << 10, Rate: rateEnrol, Do: (*Server).enrol, API: enrolOperation},
		{Method: get, Path: "/api/station", Who: stations, Rate: rateReads, Do: (*Server).thisStation, API: stationOperation},
		{Method: get, Path: "/api/station/floor", Who: stations, Rate: rateReads, Do: (*Server).stationFloor, API: floorOperation},
		{Method: get, Path: "/api/desk/shelf", Who: deskSees, Rate: rateReads, Do: (*Server).deskShelf, Zip: true, API: deskShelfOperation},
		{Method: get, Path: "/api/desk/job/:payload", Who: deskSees, Rate: rateReads, Do: (*Server).deskJob, API: deskJobOperation},
		{Method: get, Path: "/api/desk/lot/:payload", Who: deskSees, Rate: rateReads, Do: (*Server).deskLot, API: deskLotOperation},
		{Method: get, Path: "/api/desk/find", Who: deskSees, Rate: rateReads, Do: (*Server).deskFind, API: deskFindOperation},
		{Method: get, Path: "/api/desk/today", Who: deskSees, Rate: rateReads, Do: (*Server).deskToday, API: deskTodayOperation},
		{Method: post, Path: "/api/desk/reasons", Who: stations, Body: formBody, Rate: rateReads, Do: (*Server).deskReason, API: deskReasonOperation},
		{Method: post, Path: "/api/desk/places", Who: stations, Body: formBody, Rate: rateReads, Do: (*Server).deskPlace, API: deskPlaceOperation},
		{Method: post, Path: "/api/desk/counts", Who: stations, Body: formBody, Rate: rateReads, Do: (*Server).deskCount, API: deskCountOperation},
		{Method: post, Path: "/api/desk/goods", Who: stations, Body: formBody, Rate: rateReads, Do: (*Server).deskGoods, API: deskGoodsOperation},
		{Method: post, Path: "/api/desk/supplier", Who: stations, Body: formBody, Rate: rateReads, Do: (*Server).deskSupplier, API: deskSupplierOperation},
		{Method: post, Path: "/api/desk/label", Who: stations, Body: formBody, Rate: rateReads, Do: (*Server).deskLabel, API: deskLabelOperation},
		{Method: get, Path: "/api/reports/:name", Who: people, Rate: rateReport, Do: (*Server).reportAnswer, Zip: true, API: reportOperation},
		{Method: get, Path: "/api/openapi.json", Who: anyone, Rate: ratePage, Do: (*Server).openAPI, Zip: true, API: openAPIOperation},
		{Method: get, Path: "/healthz", Who: anyone, Rate: ratePage, Do: (*Server).health},
	}
}
