' Runs inside LibreOffice: opens workbooks, changes cells as a person would, writes every sheet
' out as text, and puts the cells back. Each line of the file of orders is one, parted by tabs.
Sub Main(orders As String, layout As String)
    Dim told As String, parts, book, cell, hand As Integer, count As Integer, k As Integer
    Dim cells(99), before(99)
    Dim opening(0) As New com.sun.star.beans.PropertyValue
    opening(0).Name = "Hidden"
    opening(0).Value = True
    Dim saving(1) As New com.sun.star.beans.PropertyValue
    saving(0).Name = "FilterName"
    saving(0).Value = "Text - txt - csv (StarCalc)"
    saving(1).Name = "FilterOptions"
    saving(1).Value = layout
    hand = FreeFile
    Open orders For Input As #hand
    Do While Not Eof(hand)
        Line Input #hand, told
        parts = Split(told, Chr(9))
        Select Case parts(0)
            Case "open"
                book = StarDesktop.loadComponentFromURL(parts(1), "_blank", 0, opening())
                count = 0
            Case "change"
                cell = book.Sheets.getByName(parts(1)).getCellRangeByName(parts(2))
                cells(count) = cell
                before(count) = cell.Formula
                count = count + 1
                cell.Formula = parts(3)
            Case "write"
                book.storeToURL(parts(1), saving())
            Case "put back"
                For k = count - 1 To 0 Step -1
                    cells(k).Formula = before(k)
                Next
                count = 0
            Case "close"
                book.close(True)
        End Select
    Loop
    Close #hand
    StarDesktop.terminate()
End Sub
