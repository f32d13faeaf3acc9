"""The script that a competent person writes by hand for this job.

pandas reads the sheet, reportlab's canvas draws, a qrcode picture is made for each record, a
stringWidth loop shrinks the name, and one white rectangle lies in each slot. It has no choke,
gloss, pick list, checks or memory of what it did. Usage: baseline.py SHEET.csv OUT.pdf
"""

from __future__ import annotations

import sys

import pandas
import qrcode
from reportlab.lib.colors import CMYKColor, CMYKColorSep
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase.pdfmetrics import registerFont, stringWidth
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

COLUMNS, ROWS, PITCH_X, PITCH_Y, WIDTH, HEIGHT = 8, 8, 52, 36, 50, 30


def main(sheet: str, out: str, font: str) -> None:
    registerFont(TTFont("Name", font))
    records = pandas.read_csv(sheet, dtype=str, keep_default_na=False)
    canvas = Canvas(out, pagesize=(420 * mm, 297 * mm))
    white = CMYKColorSep(0, 0, 0, 0.1, spotName="White", density=1)
    black = CMYKColor(0, 0, 0, 1)
    for index, record in enumerate(records.itertuples()):
        slot = index % (COLUMNS * ROWS)
        if index and slot == 0:
            canvas.showPage()
        x = (3 + slot % COLUMNS * PITCH_X) * mm
        y = (4 + slot // COLUMNS * PITCH_Y) * mm
        canvas.setFillColor(white)
        canvas.rect(x, y, WIDTH * mm, HEIGHT * mm, stroke=0, fill=1)
        code = qrcode.QRCode(border=4, box_size=4)
        code.add_data(record.code)
        code.make(fit=True)
        picture = ImageReader(code.make_image().get_image())
        canvas.drawImage(picture, x + 2 * mm, y + 5 * mm, 20 * mm, 20 * mm)
        canvas.setFillColor(black)
        for text, size, height in ((record.name, 12.0, 17), (record.role, 9.0, 8)):
            while stringWidth(text, "Name", size) > 25 * mm and size > 5:
                size -= 0.25
            canvas.setFont("Name", size)
            canvas.drawString(x + 23 * mm, y + height * mm, text)
    canvas.save()


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], sys.argv[3])
