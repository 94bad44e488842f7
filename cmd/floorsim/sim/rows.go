package sim

import "hulltally/costing"

// The rows of the yard files. Amounts, rates and quantities are millionths;
// pointers and empty strings are blank columns. The order of fields is the
// order of columns.
type (
	// Policy is a row of policy.csv.
	Policy struct {
		Key   string
		From  *costing.Date
		Value string
	}
	// Worker is a row of workers.csv.
	Worker struct {
		Number, Name, Grade, Crew, Shift string
		SignsOff                         bool
		trade                            trade
	}
	// Rate is a row of rates.csv, or of grades.csv and overheads.csv under
	// another name: what Of costs an hour from a day on.
	Rate struct {
		Of   string
		From costing.Date
		Rate costing.Price
	}
	// ShiftHours is a row of shifts.csv; Weekday 0 makes it one of breaks.csv for every day.
	ShiftHours struct {
		Shift   string
		Weekday int
		Hours   costing.Span
	}
	// Holiday is a row of holidays.csv.
	Holiday struct {
		Date costing.Date
		Name string
	}
	// Named is a row of crews.csv and indirects.csv.
	Named struct{ Key, Name string }
	// Station is a row of stations.csv.
	Station struct{ Key, Name, Kind, Place string }
	// Stage is a row of stages.csv.
	Stage struct {
		Key, Name string
		Order     int
	}
	// Hull is a row of hulls.csv.
	Hull struct {
		Key, Model, Name string
		Price            int64
		PriceCurrency    string
		PriceRate        costing.Price
		Signed, Due      costing.Date
	}
	// Job is a row of jobs.csv.
	Job struct {
		Key, Hull, Stage, Part string
		Purpose                costing.Purpose
		Change                 string
		Rush                   bool
		WasteFactor            *costing.Share
		Shares                 string
		Process                string
	}
	// Process is a row of processes.csv.
	Process struct {
		Key, Name string
		Low, High costing.Share
		Source    string
	}
	// Item is a row of items.csv.
	Item struct {
		costing.Item
		Factor *costing.Share // blank where waste is measured
	}
	// Lot is a row of lots.csv.
	Lot struct {
		Key, Item     string
		Received      costing.Instant
		Quantity      costing.Quantity
		Unit          string
		Price         int64
		Currency      string
		FX            costing.Price
		Landed        int64
		Expires       *costing.Date
		SupplierBatch string
	}
	// Invoice is a row of invoices.csv.
	Invoice struct {
		Lot      string
		At       costing.Instant
		Price    int64
		Currency string
		FX       costing.Price
		Landed   int64
	}
	// EstimateLine is a row of estimate.csv.
	EstimateLine struct {
		Job, Change string
		Element     costing.Element
		Key         string
		Quantity    costing.Quantity
		Waste       costing.Share
		Rate        costing.Price
		Plies       int
	}
	// Change is a row of changes.csv.
	Change struct {
		Key, Hull, Title string
		Price            int64
		Status           string
		Agreed           *costing.Date
	}
	// Bought is a row of bought.csv.
	Bought struct {
		Document    string
		Date        costing.Date
		Hull, Stage string
		Description string
		Amount      int64
		Currency    string
		FX          costing.Price
	}
	// Bill is a row of billing.csv.
	Bill struct {
		Hull        string
		Date        costing.Date
		Description string
		Amount      int64
	}
	// Weight is a row of budget.csv.
	Weight struct {
		Hull, Stage string
		Kg          costing.Quantity
	}
	// Count is a row of counts.csv.
	Count struct {
		Lot      string
		At       costing.Instant
		Quantity costing.Quantity
	}
	// Correction is a row of corrections.csv.
	Correction struct {
		Worker       string
		At           costing.Instant
		Kind, Target string
		Who, Why     string
	}
	// Code is a row of codes.csv.
	Code struct{ Kind, Key, Payload string }
	// Read is a row of reads.csv.
	Read struct {
		ID, Station string
		N           int64
		At          costing.Instant
		Payload     string
	}
)
