"""The columns of the bookkeeper's tables: what each is called and what it means. Pure."""

from __future__ import annotations

from shop.tables import Column, Reads

_AMOUNT, _DATE, _WHOLE, _NUMBER = Reads.AMOUNT, Reads.DATE, Reads.WHOLE, Reads.NUMBER

INVOICES = (
    Column("Number", "the number on the paper; it never repeats and none is left out"),
    Column("Kind", "invoice, or credit note"),
    Column("Corrects", "of a credit note: the invoice that it corrects"),
    Column("Date", "the day of issue, by the workshop’s clock", _DATE),
    Column("Order", "the repair order"),
    Column("Customer", "the name on the paper"),
    Column("Vehicle", "the vehicle, as written on the paper"),
    Column("VIN", "its vehicle identification number"),
    Column("Parts", "parts and materials, before tax", _AMOUNT),
    Column("Labour", "labour and diagnosis, before tax", _AMOUNT),
    Column("Sublet", "work done elsewhere, before tax", _AMOUNT),
    Column("Tax", "all taxes together; the table of taxes has each by itself", _AMOUNT),
    Column("Total", "parts, labour, sublet work and tax", _AMOUNT),
    Column("Customer’s share", "what of the total the customer pays", _AMOUNT),
    Column("Payer’s share", "what of it a warranty, a contract or the workshop bears", _AMOUNT),
    Column("Paid", "of an invoice: what has been paid up to now", _AMOUNT),
    Column("Credited", "of an invoice: what credit notes have taken off up to now", _AMOUNT),
    Column("Owed", "of an invoice: what the customer still has to pay as of now", _AMOUNT),
    Column("Issued by", "who issued it"),
    Column("Because", "of a credit note: the reason given"),
)
LINES = (
    Column("Number", "the invoice or credit note it stands on"),
    Column("Date", "the day of issue", _DATE),
    Column("Order", "the repair order"),
    Column("Complaint", "the number of the complaint on the order", _WHOLE),
    Column("Kind", "part, material, labour, diagnosis or sublet work"),
    Column("Text", "what the line says"),
    Column("Condition", "of a part: new, rebuilt, reconditioned or used"),
    Column("Quantity", "pieces, or hours", _NUMBER),
    Column("Unit price", "the price of one piece or hour, before tax", _AMOUNT),
    Column("Amount", "quantity times unit price, to the cent", _AMOUNT),
    Column("Payer", "who bears it, wholly or with the customer"),
    Column("Customer’s share", "what of the amount the customer pays", _AMOUNT),
    Column("Payer’s share", "what of it another bears", _AMOUNT),
)
TAXES = (
    Column("Number", "the invoice or credit note it stands on"),
    Column("Date", "the day of issue", _DATE),
    Column("Tax", "the name on the paper"),
    Column("Percent", "the rate at which it was charged", _NUMBER),
    Column("Taxed", "the amount that it was laid on", _AMOUNT),
    Column("Amount", "the tax", _AMOUNT),
    Column("Customer’s share", "what of it the customer pays", _AMOUNT),
    Column("Payer’s share", "what of it another bears", _AMOUNT),
)
PAYMENTS = (
    Column("Receipt", "the number of the receipt"),
    Column("Date", "the day it was taken", _DATE),
    Column("Invoice", "what it pays"),
    Column("Order", "the repair order"),
    Column("Customer", "the name on the invoice"),
    Column("How", "cash, card or bank transfer"),
    Column("Amount", "below zero: paid back", _AMOUNT),
    Column("Reference", "of a card or transfer: its reference; never a card’s number"),
    Column("Taken by", "who took it"),
    Column("Note", "what was noted"),
)
MOVEMENTS = (
    Column("Movement", "its number in this installation, rising with time", _WHOLE),
    Column("Date", "the day", _DATE),
    Column("Part number", "the part"),
    Column("Part", "what it is"),
    Column(
        "Kind", "received, handed to a job, back from a job, returned to the supplier, or counted"
    ),
    Column("Pieces", "below zero: they left the shelf", _WHOLE),
    Column("On hand", "pieces on the shelf after it", _WHOLE),
    Column("Unit cost", "the cost of one at that time", _AMOUNT),
    Column("Value", "pieces times unit cost", _AMOUNT),
    Column("Order", "of what was handed to a job or came back: the repair order"),
    Column("Supplier order", "of what was received or returned: our order"),
    Column("Supplier", "whose it was"),
    Column("By", "who moved or counted it"),
    Column("Because", "the reason given, above all for a count"),
)
