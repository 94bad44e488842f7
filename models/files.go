package models

import (
	"context"
	"io"
	"reflect"
	"strings"
)

// The yard files.
var (
	policyFile       = newFile[PolicyRow]("policy")
	gradesFile       = newFile[GradeRow]("grades")
	shiftsFile       = newFile[ShiftRow]("shifts")
	breaksFile       = newFile[BreakRow]("breaks")
	holidaysFile     = newFile[HolidayRow]("holidays")
	crewsFile        = newFile[CrewRow]("crews")
	indirectsFile    = newFile[IndirectRow]("indirects")
	stationsFile     = newFile[StationRow]("stations")
	workersFile      = newFile[WorkerRow]("workers")
	ratesFile        = newFile[RateRow]("rates")
	stagesFile       = newFile[StageRow]("stages")
	overheadsFile    = newFile[OverheadRow]("overheads")
	hullsFile        = newFile[HullRow]("hulls")
	changesFile      = newFile[ChangeRow]("changes")
	processesFile    = newFile[ProcessRow]("processes")
	jobsFile         = newFile[JobRow]("jobs")
	itemsFile        = newFile[ItemRow]("items")
	wasteFactorsFile = newFile[WasteFactorRow]("waste_factors")
	lotsFile         = newFile[LotRow]("lots")
	invoicesFile     = newFile[InvoiceRow]("invoices")
	countsFile       = newFile[CountRow]("counts")
	estimateFile     = newEstimateFile()
	budgetFile       = newFile[BudgetRow]("budget")
	boughtFile       = newFile[BoughtRow]("bought")
	billingFile      = newFile[BillingRow]("billing")
	fxFile           = newFile[FXRow]("fx")
	deliveriesFile   = newFile[DeliveryRow]("deliveries")
	landedFile       = newFile[LandedRow]("landed")
	holdsFile        = newFile[HoldRow]("holds")
	paymentsFile     = newFile[PaymentRow]("payments")
	countSheetsFile  = newFile[CountSheetRow]("count_sheets")
	talliesFile      = newFile[TallyRow]("tallies")
	statedFile       = newFile[StatedRow]("stated")
	correctionsFile  = newFile[CorrectionRow]("corrections")
	progressFile     = newFile[ProgressRow]("progress")
	approvalsFile    = newFile[ApprovalRow]("approvals")
	jobHoldsFile     = newFile[JobHoldRow]("job_holds")
	checksFile       = newFile[CheckRow]("checks")
	reworksFile      = newFile[ReworkRow]("reworks")
	settledFile      = newFile[SettledRow]("settled")
	hazardsFile      = newFile[HazardRow]("hazards")
	cautionsFile     = newFile[CautionRow]("cautions")
	closesFile       = newFile[CloseRow]("closes")
	lotPlacesFile    = newFile[LotPlaceRow]("lot_places")
	stockReasonsFile = newFile[StockReasonRow]("stock_reasons")
	tradeNumbersFile = newFile[TradeNumberRow]("trade_numbers")
	codesFile        = newFile[CodeRow]("codes")

	predecessorsFile  = newFile[PredecessorRow]("predecessors")
	toolingFile       = newFile[ToolRow]("tooling")
	toolUsesFile      = newFile[ToolUseRow]("tool_uses")
	changeStepsFile   = newFile[ChangeStepRow]("change_steps")
	revisionsFile     = newFile[RevisionRow]("revisions")
	revisionLinesFile = newFile[RevisionLineRow]("revision_lines")
	baselinesFile     = newFile[BaselineRow]("baselines")
	headingsFile      = newFile[HeadingRow]("headings")

	readsFile = &file[ReadRow]{stem: "reads", columns: columnsOf(reflect.TypeFor[ReadRow]()), again: true}
)

// yardFile is a file of any kind of row.
type yardFile interface {
	name() string
	sheet() sheet
	dump(ctx context.Context, tx *Tx, w io.Writer) error
	personal() []string
	names() []string
	append(text []byte, row any) (longer []byte, mine bool, err error)
}

// yardFiles is every file kept in a table of its own, each after those it
// refers to. Reads are kept otherwise.
var yardFiles = []yardFile{
	policyFile, gradesFile, shiftsFile, breaksFile, holidaysFile, crewsFile, indirectsFile, stationsFile,
	workersFile, ratesFile, stagesFile, predecessorsFile, overheadsFile, hullsFile, changesFile, toolingFile, processesFile, jobsFile,
	itemsFile, wasteFactorsFile, fxFile, deliveriesFile, lotsFile, landedFile, holdsFile, invoicesFile, countsFile,
	countSheetsFile, talliesFile, estimateFile, budgetFile, boughtFile, billingFile, paymentsFile,
	changeStepsFile, toolUsesFile, revisionsFile, revisionLinesFile, baselinesFile, headingsFile,
	statedFile,
	correctionsFile, hazardsFile, cautionsFile, codesFile,
	lotPlacesFile, stockReasonsFile, tradeNumbersFile,
	closesFile, tieSignaturesFile, overheadActualsFile, overheadBudgetFile, uninstalledFile, handoversFile, accountsFile,
	progressFile, approvalsFile, jobHoldsFile, checksFile, reworksFile, settledFile,
}

// newEstimateFile: lines of one job, change, element and key are told apart by
// their order; a line that is another's twin in every column is a slip.
func newEstimateFile() *file[EstimateRow] {
	f := newFile[EstimateRow]("estimate")
	f.settle = func(rows []*line[EstimateRow], problems *Problems) {
		lastOrdinal := map[string]int{}
		first := map[string]int{}
		for _, l := range rows {
			if l.bad {
				continue
			}
			whole := joined(l.cells)
			if at, twice := first[whole]; twice {
				l.bad = true
				problems.add(f.name(), l.at, "", "is the same as line %d in every column: take one of them away", at)
				continue
			}
			first[whole] = l.at
			lastOrdinal[l.key]++
			l.row.Ordinal = lastOrdinal[l.key]
			l.cells = f.cellsOf(&l.row)
			l.key = f.keyOf(l.cells)
		}
	}
	return f
}

// stemOf is the file's name without .csv, which is its table's too.
func stemOf(f yardFile) string { return strings.TrimSuffix(f.name(), ".csv") }
