REM  Prices the schedule of the sheet "schedule" with offtake, writes what it comes to beside each row, and quotes it.
REM  The sheet "settings" holds the address (B1) and a key with the scope "estimate" (B2); what happened stands in B4.
REM  A quote takes the name of the job (B6), the customer (B7) and the project (B8), and leaves its number, net and
REM  gross below them (B9 to B11). One job is quoted once, however often the button is pressed.
REM  LibreOffice Calc: the sheet goes out as CSV and comes back as CSV, so that no JSON needs to be read.
REM  Prices are no check of a design by a licensed person: mind what stands under stops and cautions.
Option Explicit

Const FAULTY = 16767440        ' light red: RGB(255, 217, 208)
Const RESULTS = ";verdict;stops;cautions;hours;cost;unit_price;price;mass;joints;faults;"
Const NUMBERS = ";hours;cost;unit_price;price;mass;joints;"

REM  What the buttons call.
Sub PriceSchedule
    PriceSheet(ThisComponent)
End Sub

Sub QuoteSchedule
    QuoteSheet(ThisComponent)
End Sub

REM  The same for a document that is not the one in front.
Function PriceSheet(document As Object) As String
    Dim told As String
    On Error GoTo Broken
    told = Priced(document)
    SetText(document, 3, told)
    PriceSheet = told
    Exit Function
Broken:
    told = "not priced: " & Error$ & " (line " & Erl & ")"
    SetText(document, 3, told)
    PriceSheet = told
End Function

Function QuoteSheet(document As Object) As String
    Dim told As String
    On Error GoTo Broken
    told = Quoted(document)
    SetText(document, 3, told)
    QuoteSheet = told
    Exit Function
Broken:
    told = "not quoted: " & Error$ & " (line " & Erl & ")"
    SetText(document, 3, told)
    QuoteSheet = told
End Function

Function Priced(document As Object) As String
    Dim sheet As Object, rows(), answer As String, body As String, sent As String
    sheet = document.Sheets.getByName("schedule")
    sent = SheetText(sheet, rows())
    answer = Posted(document, "/v1/schedules", "", sent)
    body = BodyOf(answer)
    If Mid(answer, 10, 3) <> "200" Then
        Priced = "refused: " & Mid(answer, 10, 3) & " " & body
        Exit Function
    End If
    Priced = Written(sheet, rows(), body)
End Function

Function Quoted(document As Object) As String
    Dim sheet As Object, rows(), answer As String, body As String, told As String
    Dim job As String, customer As String, project As String, place As String, row As Long
    job = Setting(document, 5) : customer = Setting(document, 6) : project = Setting(document, 7)
    If job = "" Or customer = "" Or project = "" Then
        Quoted = "not quoted: name the job, the customer and the project on the sheet settings"
        Exit Function
    End If
    sheet = document.Sheets.getByName("schedule")
    place = "/v1/schedules/quotes?customer=" & Escaped(customer) & "&project=" & Escaped(project)
    answer = Posted(document, place, Escaped(job), SheetText(sheet, rows()))
    body = BodyOf(answer)
    If Mid(answer, 10, 3) <> "201" Then
        For row = 8 To 10
            SetText(document, row, "")
        Next row
        told = "not quoted: " & Mid(answer, 10, 3) & " " & Member(body, "detail", 1)
        ' The sheet itself shows what is wrong with it.
        If InStr(body, """sheet_row""") > 0 Then told = told & " " & Priced(document)
        Quoted = told
        Exit Function
    End If
    SetText(document, 8, Member(body, "number", 1))
    SetNumber(document, 9, Member(body, "amount", InStr(body, """net"":")))
    SetNumber(document, 10, Member(body, "amount", InStr(body, """gross"":")))
    told = "quoted as " & Setting(document, 8)
    If InStr(LCase(answer), "idempotency-replayed: true") > 0 Then told = told & ", as before"
    Quoted = told
End Function

Function Setting(document As Object, row As Long) As String
    Setting = Trim(document.Sheets.getByName("settings").getCellByPosition(1, row).String)
End Function

Sub SetText(document As Object, row As Long, told As String)
    document.Sheets.getByName("settings").getCellByPosition(1, row).String = told
End Sub

REM  A decimal text of the answer as a number; Val reads a point in every locale.
Sub SetNumber(document As Object, row As Long, told As String)
    document.Sheets.getByName("settings").getCellByPosition(1, row).Value = Val(told)
End Sub

REM  The first text member of that name in JSON, from a place on. Enough for numbers, amounts and plain sentences.
Function Member(json As String, name As String, from As Long) As String
    Dim place As Long, ending As Long
    place = InStr(from, json, """" & name & """:""")
    If place = 0 Then Exit Function
    place = place + Len(name) + 4
    ending = place
    Do While Mid(json, ending, 1) <> """" And ending <= Len(json)
        If Mid(json, ending, 1) = "\" Then ending = ending + 1
        ending = ending + 1
    Loop
    Member = Replace(Mid(json, place, ending - place), "\""", """")
End Function

REM  The sheet as CSV without the columns of an answer; rows() holds where its lines stand.
Function SheetText(sheet As Object, rows()) As String
    Dim cursor As Object, lastRow As Long, lastColumn As Long, row As Long, column As Long, count As Long
    Dim line As String, sent As String, blank As Boolean, cell As String, name As String
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    lastRow = cursor.RangeAddress.EndRow
    lastColumn = cursor.RangeAddress.EndColumn
    ReDim rows(lastRow)
    count = 0
    For row = 0 To lastRow
        line = "" : blank = True
        For column = 0 To lastColumn
            name = sheet.getCellByPosition(column, 0).String
            If InStr(name, " (") > 0 Then name = Left(name, InStr(name, " (") - 1)
            If name = "" Or InStr(RESULTS, ";" & name & ";") = 0 Then
                cell = sheet.getCellByPosition(column, row).String
                If cell <> "" Then blank = False
                If column > 0 Then line = line & ","
                line = line & """" & Replace(cell, """", """""") & """"
            End If
        Next column
        If Not blank Then
            rows(count) = row
            count = count + 1
            sent = sent & line & Chr(13) & Chr(10)
        End If
    Next row
    SheetText = sent
End Function

Function BodyOf(answer As String) As String
    BodyOf = Mid(answer, InStr(answer, Chr(10) & Chr(10)) + 2)
End Function

REM  Text as it may stand in an address: UTF-8, everything but letters, digits and a few signs as %XX.
Function Escaped(text As String) As String
    Dim found, place As Long, code As Long, made As String
    found = Bytes(text)
    For place = 0 To UBound(found)
        code = found(place)
        If code < 0 Then code = code + 256
        If (code >= 48 And code <= 57) Or (code >= 65 And code <= 90) _
            Or (code >= 97 And code <= 122) Or code = 45 Or code = 46 Or code = 95 Then
            made = made & Chr(code)
        Else
            made = made & "%" & Right("0" & Hex(code), 2)
        End If
    Next place
    Escaped = made
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

REM  Sends text as CSV over a plain socket; the whole answer, with line ends as Chr(10). "once" names a request
REM  that must not be carried out twice.
Function Posted(document As Object, path As String, once As String, text As String) As String
    Dim address As String, host As String, port As String, head As String, line As String
    Dim connection As Object, pipe As Object, reader As Object, part(), sent, count As Long
    address = Setting(document, 0)
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
    head = head & "Authorization: Bearer " & Setting(document, 1) & line
    If once <> "" Then head = head & "Idempotency-Key: " & once & line
    head = head & "Content-Type: text/csv; charset=utf-8" & line
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
