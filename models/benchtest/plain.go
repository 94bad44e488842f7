package benchtest

import (
	"context"

	"github.com/google/uuid"
	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"hulltally/models"
)

type plainRead struct {
	ID                          string `gorm:"primaryKey"`
	Station                     string
	N, AtMs                     int64
	Payload                     string
	ReceivedMs                  int64
	Flag, Outcome, Code, Detail string
}

func (plainRead) TableName() string { return "reads" }

type plainEntry struct {
	ID                                     string `gorm:"primaryKey"`
	AtMs                                   int64
	Station                                string
	N                                      int64
	Kind, Worker, Crew, Job, Indirect, Lot string
	Quantity, Percent                      int64
	VoidedBy                               string
	VoidedAtMs                             int64
}

func (plainEntry) TableName() string { return "entries" }

type plainPosting struct {
	Unit                                                      string `gorm:"primaryKey"`
	Seq                                                       int64  `gorm:"primaryKey;autoIncrement:false"`
	Source, Date                                              string
	Period                                                    int64
	Debit, Credit, Hull, Stage, Job, Element, Purpose, Detail string
	Seconds, Quantity, Net, Waste, Amount                     int64
}

func (plainPosting) TableName() string { return "postings" }

type plainTotal struct {
	Hull, Stage, Element, Purpose string
	Period, Seconds, Amount       int64
}

func (plainTotal) TableName() string { return "totals" }

// Plain writes what two reads make as one would with gorm and no thought: a
// transaction for each read, a statement for each row.
func Plain(ctx context.Context, s *models.Store, k int) error {
	read := func() plainRead {
		return plainRead{ID: uuid.NewString(), Station: "ST000", N: int64(k), AtMs: 1_772_000_000_000, Payload: "J000001C", Outcome: "done", Code: "clocked_on"}
	}
	err := s.InTx(ctx, func(tx *models.Tx) error {
		r := read()
		return tx.DB.Create(&r).Error
	})
	if err != nil {
		return err
	}
	return s.InTx(ctx, func(tx *models.Tx) error {
		r := read()
		if err := tx.DB.Create(&r).Error; err != nil {
			return err
		}
		e := plainEntry{ID: uuid.NewString(), AtMs: r.AtMs, Station: r.Station, Kind: "on", Worker: "W0001", Job: "J0001"}
		if err := tx.DB.Create(&e).Error; err != nil {
			return err
		}
		var last plainEntry
		if err := tx.DB.Where("worker = ?", e.Worker).Order("at_ms DESC").Limit(1).Find(&last).Error; err != nil {
			return err
		}
		for i := range 3 {
			p := plainPosting{
				Unit: "plain", Seq: int64(3*k + i), Source: e.ID, Date: "2026-03-02", Period: 202603, Debit: "work in progress",
				Credit: "wages payable", Hull: "H1", Stage: "S1", Job: "J0001", Element: "labour", Purpose: "build", Detail: "B", Seconds: 400, Amount: 100,
			}
			if err := tx.DB.Create(&p).Error; err != nil {
				return err
			}
			t := plainTotal{"H1", "S1", "labour", "build", 202603, 400, 100}
			err := tx.DB.Clauses(clause.OnConflict{
				Columns:   []clause.Column{{Name: "hull"}, {Name: "stage"}, {Name: "element"}, {Name: "purpose"}, {Name: "period"}},
				DoUpdates: clause.Assignments(map[string]any{"amount": gorm.Expr("totals.amount + ?", t.Amount)}),
			}).Create(&t).Error
			if err != nil {
				return err
			}
		}
		return nil
	})
}
