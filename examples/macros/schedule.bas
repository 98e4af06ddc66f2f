REM  Prices the schedule of the sheet "schedule" with offtake, and writes what it comes to beside each row.
REM  The sheet "settings" holds the address (B1) and a key with the scope "estimate" (B2); what happened stands in B4.
REM  LibreOffice Calc: the sheet goes out as CSV and comes back as CSV, so that no JSON needs to be read.
REM  Prices are no check of a design by a licensed person: mind what stands under stops and cautions.
Option Explicit

Const FAULTY = 16767440        ' light red: RGB(255, 217, 208)
Const NUMBERS = ";hours;cost;unit_price;price;mass;joints;"

REM  What a button calls.
Sub PriceSchedule
    PriceSheet(ThisComponent)
End Sub

REM  The same for a document that is not the one in front.
Function PriceSheet(document As Object) As String
    Dim told As String
    On Error GoTo Broken
    told = Priced(document)
    document.Sheets.getByName("settings").getCellByPosition(1, 3).String = told
    PriceSheet = told
    Exit Function
Broken:
    told = "not priced: " & Error$ & " (line " & Erl & ")"
    document.Sheets.getByName("settings").getCellByPosition(1, 3).String = told
    PriceSheet = told
End Function

Function Priced(document As Object) As String
    Dim settings As Object, sheet As Object, cursor As Object
    Dim address As String, key As String, answer As String, body As String
    Dim lastRow As Long, lastColumn As Long, row As Long, column As Long, count As Long
    Dim line As String, sent As String, blank As Boolean, cell As String
    settings = document.Sheets.getByName("settings")
    address = settings.getCellByPosition(1, 0).String
    key = settings.getCellByPosition(1, 1).String
    sheet = document.Sheets.getByName("schedule")
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    lastRow = cursor.RangeAddress.EndRow
    lastColumn = cursor.RangeAddress.EndColumn
    Dim rows(lastRow) As Long
    count = 0
    For row = 0 To lastRow
        line = "" : blank = True
        For column = 0 To lastColumn
            cell = sheet.getCellByPosition(column, row).String
            If cell <> "" Then blank = False
            If column > 0 Then line = line & ","
            line = line & """" & Replace(cell, """", """""") & """"
        Next column
        If Not blank Then
            rows(count) = row
            count = count + 1
            sent = sent & line & Chr(13) & Chr(10)
        End If
    Next row
    answer = Posted(address, "/v1/schedules", key, sent)
    body = Mid(answer, InStr(answer, Chr(10) & Chr(10)) + 2)
    If Mid(answer, 10, 3) <> "200" Then
        Priced = "refused: " & Mid(answer, 10, 3) & " " & body
        Exit Function
    End If
    Priced = Written(sheet, rows(), body)
End Function

REM  Writes the answer, and colours the cells that have a fault.
Function Written(sheet As Object, rows(), body As String) As String
    Dim place As Long, table As Long, column As Long, good As Long, bad As Long, at As Long
    Dim cells, heading, name As String, fault, faults
    place = 1
    heading = NextRow(body, place)
    For column = 0 To UBound(heading)
        sheet.getCellByPosition(column, rows(0)).String = heading(column)
    Next column
    table = 0
    Do While place <= Len(body)
        cells = NextRow(body, place)
        If UBound(cells) = 0 Then Exit Do      ' the end of the last line
        table = table + 1
        For column = 0 To UBound(cells)
            name = heading(column)
            If InStr(name, " (") > 0 Then name = Left(name, InStr(name, " (") - 1)
            With sheet.getCellByPosition(column, rows(table))
                .CellBackColor = -1
                If InStr(NUMBERS, ";" & name & ";") > 0 And cells(column) <> "" Then
                    .Value = Val(cells(column))
                ElseIf Left(cells(column), 2) = "'=" Then
                    .String = Mid(cells(column), 2)
                Else
                    .String = cells(column)
                End If
            End With
            If name = "price" And cells(column) <> "" Then good = good + 1
        Next column
        If cells(UBound(cells)) <> "" Then
            faults = Split(cells(UBound(cells)), " | ")
            For Each fault In faults
                bad = bad + 1
                For at = 0 To UBound(heading)
                    If Left(fault, Len(heading(at)) + 2) = heading(at) & ": " Then
                        sheet.getCellByPosition(at, rows(table)).CellBackColor = FAULTY
                    End If
                Next at
            Next fault
        End If
    Loop
    Written = good & " priced, " & bad & " faults"
End Function

REM  The cells of the row of CSV at a place, which moves on to the next.
Function NextRow(text As String, place As Long)
    Dim cells(), count As Long, cell As String, sign As String, quoted As Boolean, ended As Boolean
    count = -1
    Do While Not ended
        sign = Mid(text, place, 1)
        place = place + 1
        If quoted Then
            If sign <> """" Then
                cell = cell & sign
            ElseIf Mid(text, place, 1) = """" Then
                cell = cell & sign
                place = place + 1
            Else
                quoted = False
            End If
            If sign = "" Then ended = True
        ElseIf sign = """" Then
            quoted = True
        ElseIf sign = "," Or sign = Chr(10) Or sign = "" Then
            count = count + 1
            ReDim Preserve cells(count)
            cells(count) = cell
            cell = ""
            ended = (sign <> ",")
        ElseIf sign <> Chr(13) Then
            cell = cell & sign
        End If
    Loop
    NextRow = cells()
End Function

REM  Sends text as CSV over a plain socket; the whole answer, with line ends as Chr(10).
Function Posted(address As String, path As String, key As String, text As String) As String
    Dim host As String, port As String, head As String, line As String
    Dim connection As Object, pipe As Object, reader As Object, part(), sent, count As Long
    host = Mid(address, InStr(address, "//") + 2)
    If Right(host, 1) = "/" Then host = Left(host, Len(host) - 1)
    port = "80"
    If InStr(host, ":") > 0 Then
        port = Mid(host, InStr(host, ":") + 1)
        host = Left(host, InStr(host, ":") - 1)
    End If
    line = Chr(13) & Chr(10)
    sent = Bytes(text)
    head = "POST " & path & " HTTP/1.0" & line & "Host: " & host & ":" & port & line
    head = head & "Authorization: Bearer " & key & line & "Content-Type: text/csv; charset=utf-8" & line
    head = head & "Content-Length: " & (UBound(sent) + 1) & line & line
    connection = CreateUnoService("com.sun.star.connection.Connector")
    connection = connection.connect("socket,host=" & host & ",port=" & port)
    connection.write(Bytes(head))
    connection.write(sent)
    pipe = CreateUnoService("com.sun.star.io.Pipe")
    Do
        count = connection.read(part(), 8192)
        If count > 0 Then pipe.writeBytes(part())
    Loop While count > 0
    pipe.closeOutput()
    connection.close()
    reader = CreateUnoService("com.sun.star.io.TextInputStream")
    reader.setInputStream(pipe)
    reader.setEncoding("UTF-8")
    text = ""
    Do While Not reader.isEOF()
        text = text & reader.readLine() & Chr(10)
    Loop
    Posted = text
End Function

REM  Text as bytes of UTF-8.
Function Bytes(text As String)
    Dim pipe As Object, writer As Object, found()
    pipe = CreateUnoService("com.sun.star.io.Pipe")
    writer = CreateUnoService("com.sun.star.io.TextOutputStream")
    writer.setOutputStream(pipe)
    writer.setEncoding("UTF-8")
    writer.writeString(text)
    writer.closeOutput()
    pipe.readBytes(found(), 20000000)
    Bytes = found()
End Function
