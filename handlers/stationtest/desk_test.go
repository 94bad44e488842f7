package stationtest

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/labels"
	"hulltally/models"
)

// desk is a stores' desk that was enrolled.
func (y *yard) desk(t *testing.T, browser context.Context, scripts ...string) *tab {
	t.Helper()
	p := y.tabAt(t, browser, "/stores", append([]string{faults}, scripts...)...)
	p.until(`document.body.dataset.view === "enrol"`)
	p.do(chromedp.SendKeys(chromedp.ID("code"), y.code("STORE")+"\r"))
	p.ready()
	p.until(`document.body.dataset.net === "connected" || document.body.dataset.view === "desk"`)
	return p
}

// payload is the code in force of a thing.
func (y *yard) payload(kind, key string) string {
	y.t.Helper()
	list := y.query("SELECT payload FROM codes WHERE kind = ? AND key = ? AND revoked_ms IS NULL", kind, key)
	require.Len(y.t, list, 1)
	return list[0]
}

// sent waits until the server has these reads of the desk, in this order.
func (y *yard) sent(want ...string) {
	y.t.Helper()
	deadline := time.Now().Add(15 * time.Second)
	for {
		got := y.payloads()
		if slices.Equal(got, want) {
			return
		}
		if time.Now().After(deadline) {
			y.t.Fatalf("the server has %q, want %q", got, want)
		}
		time.Sleep(20 * time.Millisecond)
	}
}

func (p *tab) click(css string) {
	p.t.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf("document.querySelector(%q).click()", css)))
}

// digits presses keys of the keypad, and then the one that takes the number in.
func (p *tab) digits(number string) {
	p.t.Helper()
	for _, c := range number {
		p.click(fmt.Sprintf("[data-key=%q]", string(c)))
	}
	p.click(`[data-do="enter"]`)
}

func (p *tab) says(id, words string) {
	p.t.Helper()
	p.until(fmt.Sprintf("!document.getElementById(%q).hidden && document.getElementById(%q).textContent.includes(%q)", id, id, words))
}

// freshResin takes a lot of resin in that is good until a day.
func (y *yard) freshResin(expires string) string {
	y.t.Helper()
	now := models.Deed{Who: "test", Source: "test", At: instantNow()}
	in, err := y.store.TakeIn(y.t.Context(), models.GoodsIn{
		Item: "RES", Received: now.At - 60_000, Quantity: costing.Measure{Value: 200 * costing.Million}, Expires: models.Day(expires), Place: "Resin room",
	}, now)
	require.NoError(y.t, err)
	return in.Payload
}

func later(days int) string { return time.Now().AddDate(0, 0, days).Format(time.DateOnly) }

// A whole issue: the job's expectations, a lot, a quantity from the scale, the
// hardener at its ratio; by scanners fast and slow.
func TestDeskIssue(t *testing.T) {
	y := newYard(t)
	resin := y.freshResin(later(200))
	hard := y.payload("lot", "L3")
	p := y.desk(t, browser(t))
	p.scan(ilse, 5*time.Millisecond)
	p.scan(job1, 60*time.Millisecond)
	p.says("job-name", "J1")
	p.says("lines", "Infusion resin")
	// 210 kg net and six in a hundred; nothing of it drawn yet.
	p.until(`[...document.querySelectorAll("#lines tr")].some((r) => r.textContent.includes("Infusion resin") && r.textContent.includes("222.6"))`)
	p.scan(resin, 5*time.Millisecond)
	p.says("lot-name", "Infusion resin")
	p.says("lot-left", "200")
	p.until(`document.querySelector('[data-unit="KGM"]').hidden === false && document.querySelector('[data-unit="MTR"]').hidden`)
	p.press("ST,GS,+ 100.0kg", 8*time.Millisecond, nil) // what a scale types
	p.key("Enter", "Enter")
	p.shows("done", "Issued")
	// The job's own factor is 18 %, of both; 28 parts to 100 by weight.
	p.says("hardener-line", "28")
	p.scan(hard, 5*time.Millisecond)
	p.until(`document.getElementById("typed").textContent.startsWith("28")`)
	p.click(`[data-do="enter"]`)
	y.sent(ilse, job1, resin, "100KGM", hard, "28KGM")
	p.until(`document.querySelectorAll("#today-list .sent").length === 2`)
	p.until(`document.getElementById("hardener").hidden`)
	p.says("lot-name", "Slow hardener")

	// Undo by its key, a return and waste by theirs.
	p.click(`[data-card="undo"]`)
	p.until(`document.querySelectorAll("#today-list .undone").length === 1`)
	p.click(`[data-card="return"]`)
	p.until(`document.getElementById("mode").textContent === "Return"`)
	p.scan(resin, 5*time.Millisecond)
	p.says("lot-name", "Infusion resin")
	p.digits("4")
	p.click(`[data-card="waste"]`)
	p.until(`document.getElementById("mode").textContent === "Waste"`)
	p.scan(resin, 5*time.Millisecond)
	p.until(`!document.getElementById("lot").hidden`)
	p.digits("1.5")
	p.until(`document.querySelectorAll("#today-list .sent").length === 3`)
	assert.Equal(t, []string{"issue RES-100", "return RES-4", "waste RES-1.5"},
		y.query("SELECT kind || ' RES-' || (quantity / 1000000) || CASE WHEN quantity % 1000000 = 0 THEN '' ELSE '.5' END FROM entries "+
			"WHERE station = 'STORE' AND at_ms > ? AND voided_by = '' ORDER BY at_ms, n", fresh))
	p.noFaults()
}

// A lot past its date: the reason comes before, after, or not at all, and the
// quantity counts in every case.
func TestDeskExpired(t *testing.T) {
	y := newYard(t)
	old := y.freshResin(later(-3))
	good := y.freshResin2(later(60)) // before the yard's own
	p := y.desk(t, browser(t))
	p.scan(job1, 5*time.Millisecond)
	p.scan(old, 5*time.Millisecond)
	p.says("alarm-expired", "Past its date")
	p.says("alarm-fefo", "use by "+later(60))
	p.says("why", "Why is it used past its date?")
	p.click(`#reasons button:first-child`)
	p.until(`document.querySelector('#reasons button').getAttribute("aria-pressed") === "true"`)
	p.digits("3")
	p.until(`document.querySelectorAll("#today-list .sent").length === 1`)
	p.scan(old, 5*time.Millisecond)
	p.until(`document.querySelector('#reasons button').getAttribute("aria-pressed") === "false"`)
	p.digits("2") // and no reason
	p.says("why-title", "A reason is missing")
	p.until(`document.querySelectorAll("#today-list .asked").length === 1`)
	assert.Len(t, y.unexplained(), 1)
	p.do(chromedp.SendKeys(chromedp.ID("because-words"), "trial panel\r"))
	p.until(`document.querySelectorAll("#today-list .asked").length === 0`)
	assert.Empty(t, y.unexplained())
	assert.Equal(t, []string{"Tested again, good", "trial panel"}, y.query("SELECT reason FROM stock_reasons WHERE at_ms > ? ORDER BY at_ms", fresh))
	p.click("#fefo-take") // takes the lot that should go first
	p.until(`document.getElementById("alarm-expired").hidden && document.getElementById("alarm-fefo").hidden`)
	p.digits("5000")
	p.says("alarm-overlot", "count it") // said beside it; the floor is never stopped
	y.sent(job1, old, "3", old, "2", good, "5000")
	p.noFaults()
}

func (y *yard) freshResin2(expires string) string {
	y.t.Helper()
	time.Sleep(2 * time.Millisecond) // another instant, another lot
	return y.freshResin(expires)
}

func (y *yard) unexplained() (list []models.Unexplained) {
	y.t.Helper()
	require.NoError(y.t, y.store.Read(y.t.Context(), func(tx *models.Tx) (err error) {
		list, err = tx.Unexplained(y.t.Context(), fresh, instantNow()+1000)
		return err
	}))
	return list
}

// Without the network everything is kept and sent later, in order; a tab that is
// reloaded meanwhile loses nothing. The keypad alone serves too.
func TestDeskOffline(t *testing.T) {
	y, b := newYard(t), browser(t)
	old := y.freshResin(later(-3))
	p := y.desk(t, b)
	p.scan(job1, 5*time.Millisecond) // known from now on
	p.says("job-name", "J1")
	y.away.Store(true)
	p.click(`#lines [data-lot]`) // a line of the job: the lot to take
	p.until(`!document.getElementById("lot").hidden`)
	p.digits("12")
	p.until(`document.getElementById("kept").textContent.includes("kept here")`)
	p.scan(old, 5*time.Millisecond)
	p.says("alarm-expired", "Past its date")
	p.click(`#reasons button:nth-child(2)`)
	p.digits("1")
	p.until(`document.querySelectorAll("#today-list .kept").length >= 2`)
	p.cancel()

	again := y.tabAt(t, b, "/stores", faults)
	again.ready()
	again.until(`document.getElementById("today-list").children.length >= 4`)
	y.away.Store(false)
	again.do(chromedp.Evaluate[chromedp.Void](`dispatchEvent(new Event("online"))`))
	y.sent(job1, y.payload("lot", "L1"), "12", old, "1")
	again.until(`document.querySelectorAll("#today-list .kept").length === 0`)
	deadline := time.Now().Add(10 * time.Second)
	for len(y.query("SELECT reason FROM stock_reasons WHERE at_ms > ?", fresh)) == 0 && time.Now().Before(deadline) {
		time.Sleep(50 * time.Millisecond)
	}
	assert.Equal(t, []string{"Maker gave a later date"}, y.query("SELECT reason FROM stock_reasons WHERE at_ms > ?", fresh))
	assert.Empty(t, y.unexplained())
	again.noFaults()
}

// A sentence is thirty seconds long; what stands on the screen holds longer, for
// what ran out is said again.
func TestDeskOutlivesTheSentence(t *testing.T) {
	y := newYard(t)
	p := y.desk(t, browser(t), `let ahead = 0; const own = Date.now.bind(Date); Date.now = () => own() + ahead; window.wait = (ms) => { ahead += ms; };`)
	film := y.payload("lot", "L5")
	p.scan(ilse, 5*time.Millisecond)
	p.scan(job1, 5*time.Millisecond)
	p.scan(film, 5*time.Millisecond)
	p.says("lot-name", "Bagging film")
	p.do(chromedp.Evaluate[chromedp.Void](`wait(40000)`))
	p.digits("8")
	y.sent(ilse, job1, film, ilse, job1, film, "8")
	p.shows("done", "Issued")
	assert.Equal(t, []string{"J1"}, y.query("SELECT job FROM entries WHERE station = 'STORE' AND at_ms > ?", fresh))
	p.noFaults()
}

// By the keypad and keys alone: a job and a lot are looked up by numbers.
func TestDeskKeysOnly(t *testing.T) {
	y := newYard(t)
	p := y.desk(t, browser(t))
	p.click("#find summary")
	p.do(chromedp.SendKeys(chromedp.ID("find-words"), "J1"))
	p.until(`document.querySelector("#find-list button b")?.textContent === "J1"`)
	p.click("#find-list button")
	p.says("job-name", "J1")
	p.click(`#lines [data-lot]`)
	p.says("lot-name", "Biaxial glass")
	for _, key := range []string{`[data-key="2"]`, `[data-unit="MTR"]`, `[data-do="enter"]`} {
		p.click(key)
	}
	y.sent(job1, lot1, "2MTR")
	p.click(`[data-card="scrap"]`)
	p.says("why-title", "scrapped")
	p.click("#find summary")
	p.do(chromedp.SendKeys(chromedp.ID("find-words"), "tape"))
	p.until(`document.querySelectorAll("#find-list button").length === 1`)
	p.click("#find-list button")
	p.says("lot-name", "Sealant tape")
	p.click("#reasons button:nth-child(2)")
	p.digits("3")
	p.until(`document.querySelectorAll("#today-list .sent").length === 2`)
	assert.Equal(t, []string{"Damaged"}, y.query("SELECT reason FROM stock_reasons WHERE kind = 'scrap' AND at_ms > ?", fresh))
	p.noFaults()
}

// Goods in from a supplier's label: the second delivery knows the item by its number.
func TestDeskGoodsIn(t *testing.T) {
	y := newYard(t)
	p := y.desk(t, browser(t))
	p.click(`#tabs [data-tab="goods"]`)
	expires := time.Now().AddDate(1, 0, 0)
	label := "]C1" + "0104012345678901" + "3103025000" + "17" + expires.Format("060102") + "10R-8123"
	p.press(label, 8*time.Millisecond, nil)
	p.key("Enter", "Enter")
	p.until(`document.getElementById("goods-item").value === "RES"`)
	p.until(`document.getElementById("goods-quantity").value === "25" && document.getElementById("goods-unit").value === "KGM"`)
	p.do(chromedp.SendKeys(chromedp.ID("goods-place"), "Resin room"))
	p.click("#goods-enter")
	p.until(`document.body.dataset.printed !== undefined`)
	got := y.query("SELECT item || ' ' || quantity || ' ' || expires || ' ' || supplier_batch || ' ' || price FROM lots WHERE received_ms > ?", fresh)
	assert.Equal(t, []string{"RES 25000000 " + expires.Format(time.DateOnly) + " R-8123 127500000"}, got) // at 5.10, until the invoice
	assert.Len(t, y.query("SELECT payload FROM prints"), 1)
	// A number that nobody has seen asks for the item, once.
	p.press("0104098765432101"+"10B7", 8*time.Millisecond, nil)
	p.key("Enter", "Enter")
	p.says("goods-say", "choose the item")
	p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("goods-item").value = "TAPE"; document.getElementById("goods-item").dispatchEvent(new Event("change", { bubbles: true }));`))
	p.do(chromedp.SendKeys(chromedp.ID("goods-quantity"), "12\r"))
	p.until(`document.querySelectorAll("#goods-done li").length === 2`)
	assert.Equal(t, []string{"TAPE"}, y.query("SELECT item FROM trade_numbers WHERE gtin = '04098765432101'"))
	p.press("(01)04098765432100", 8*time.Millisecond, nil)
	p.key("Enter", "Enter")
	p.says("goods-say", "check digit")
	assert.Empty(t, y.payloads(), "a supplier's label is no read")
	p.noFaults()
}

// A count by walking: the place, lot and quantity; far off is asked for twice.
func TestDeskCount(t *testing.T) {
	y := newYard(t)
	p := y.desk(t, browser(t))
	p.click(`#tabs [data-tab="count"]`)
	p.press("Rack B2", 8*time.Millisecond, nil)
	p.key("Enter", "Enter")
	p.until(`document.getElementById("count-place").value === "Rack B2"`)
	p.scan(y.payload("lot", "L5"), 5*time.Millisecond)
	p.says("count-say", "Bagging film")
	page, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](`document.getElementById("view-count").innerText`))
	require.NoError(t, err)
	assert.NotContains(t, page, "400", "the count is blind")
	p.digits("300")
	p.until(`document.querySelectorAll("#count-list .again").length === 1`)
	p.click("#count-list .again button")
	p.digits("301")
	p.until(`document.querySelectorAll("#count-list .counted").length === 1`)
	p.scan(y.payload("lot", "L6"), 5*time.Millisecond)
	p.says("count-say", "Sealant tape")
	p.digits("60")
	p.until(`document.querySelectorAll("#count-list .counted").length === 2`)
	assert.Equal(t, []string{"L5 301000000", "L6 60000000"}, y.query("SELECT lot || ' ' || quantity FROM counts WHERE at_ms > ? ORDER BY lot", fresh))
	assert.Equal(t, []string{"L5 Rack B2", "L6 Rack B2"}, y.query("SELECT lot || ' ' || place FROM lot_places WHERE at_ms > ? ORDER BY lot", fresh))
	assert.Empty(t, y.payloads())
	p.noFaults()
}

// What the page reckons is what the server reckons.
func TestDeskAmounts(t *testing.T) {
	y := newYard(t)
	p := y.desk(t, browser(t))
	texts := []string{
		"12.345 kg", "12,5", "ST,GS,+ 12.345kg", "850 g", "3 l", "250ml", "US,GS,+ 1kg", "1 lb", "-2kg", "0 kg", "00012.50 kg", "ST,TR,1kg", "7 pcs",
		"4 m²", "12 345 kg", "1.2345678kg", "0.5 g", "0.0001 g",
	}
	for _, text := range texts {
		got, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](fmt.Sprintf(`import("/static/station/check.js").then((m) => m.amount(%q))`, text), chromedp.EvalAwaitPromise))
		require.NoError(t, err)
		assert.Equal(t, asServer(text), got, "%q", text)
	}
	p.noFaults()
}

// asServer is a quantity as the server reads it, or empty.
func asServer(text string) string {
	m, err := labels.ReadAmount(text)
	if err != nil {
		return ""
	}
	return m.Value.String() + string(m.Unit)
}
