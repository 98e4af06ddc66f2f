Attribute VB_Name = "Offtake"
' Prices and quotes the schedule of a workbook with offtake, in VBA; the twin of schedule.bas.
'
' THIS MODULE HAS NOT BEEN RUN: the project is tested where no program that runs VBA can be had. It keeps to the calls, the
' cells and the manner of schedule.bas, which is run in two locales; tell us where it fails.
'
' The sheet "schedule" holds the schedule, its headings in row 1, its cells formatted as text, so that 1/2 stays 1/2. The
' sheet "settings" holds the address (B1) and a key with the scope "estimate" (B2); what happened stands in B4. A
' quote takes the name of the job (B6), the customer (B7) and the project (B8), and leaves its number, net and
' gross in B9 to B11. One job is quoted once, however often the button is pressed.
' Prices are no check of a design by a licensed person: mind what stands under stops and cautions.
Option Explicit

Private Const FAULTY As Long = 13687295       ' light red: RGB(255, 217, 208)
Private Const RESULTS As String = ";verdict;stops;cautions;hours;cost;unit_price;price;mass;joints;faults;"
Private Const NUMBERS As String = ";hours;cost;unit_price;price;mass;joints;"
Private Const AS_TEXT As Long = 2             ' adTypeText
Private Const AS_BYTES As Long = 1            ' adTypeBinary

Public Sub PriceSchedule()
    On Error GoTo Broken
    SetSetting 4, Priced()
    Exit Sub
Broken:
    SetSetting 4, "not priced: " & Err.Description
End Sub

Public Sub QuoteSchedule()
    On Error GoTo Broken
    SetSetting 4, Quoted()
    Exit Sub
Broken:
    SetSetting 4, "not quoted: " & Err.Description
End Sub

Private Function Priced() As String
    Dim answer As Object, places() As Long
    Set answer = Posted("/v1/schedules", "", SheetText(places))
    If answer.Status <> 200 Then
        Priced = "refused: " & answer.Status & " " & TextOf(answer)
    Else
        Priced = Written(places, TextOf(answer))
    End If
End Function

Private Function Quoted() As String
    Dim answer As Object, places() As Long, body As String, told As String, row As Long
    If Setting(6) = "" Or Setting(7) = "" Or Setting(8) = "" Then
        Quoted = "not quoted: name the job, the customer and the project on the sheet settings"
        Exit Function
    End If
    Set answer = Posted("/v1/schedules/quotes?customer=" & Escaped(Setting(7)) & "&project=" & Escaped(Setting(8)), _
        Escaped(Setting(6)), SheetText(places))
    body = TextOf(answer)
    If answer.Status <> 201 Then
        For row = 9 To 11
            SetSetting row, ""
        Next row
        told = "not quoted: " & answer.Status & " " & Member(body, "detail", 1)
        If InStr(body, """sheet_row""") > 0 Then told = told & " " & Priced()
        Quoted = told
        Exit Function
    End If
    SetSetting 9, Member(body, "number", 1)
    ' Val reads a point in every locale.
    Sheets("settings").Cells(10, 2).Value = Val(Member(body, "amount", InStr(body, """net"":")))
    Sheets("settings").Cells(11, 2).Value = Val(Member(body, "amount", InStr(body, """gross"":")))
    told = "quoted as " & Setting(9)
    If InStr(LCase$(answer.getAllResponseHeaders()), "idempotency-replayed: true") > 0 Then told = told & ", as before"
    Quoted = told
End Function

Private Function Setting(ByVal row As Long) As String
    Setting = Trim$(Sheets("settings").Cells(row, 2).Text)
End Function

Private Sub SetSetting(ByVal row As Long, ByVal told As String)
    With Sheets("settings").Cells(row, 2)
        .NumberFormat = "@"
        .Value = told
    End With
End Sub

' The sheet as CSV without the columns of an answer; places() holds where its lines stand.
Private Function SheetText(ByRef places() As Long) As String
    Dim sheet As Object, row As Long, column As Long, lastRow As Long, lastColumn As Long, count As Long
    Dim cell As String, line As String, sent As String, blank As Boolean
    Set sheet = Sheets("schedule")
    lastRow = sheet.UsedRange.row + sheet.UsedRange.Rows.count - 1
    lastColumn = sheet.UsedRange.column + sheet.UsedRange.Columns.count - 1
    ReDim places(lastRow)
    For row = 1 To lastRow
        line = ""
        blank = True
        For column = 1 To lastColumn
            If InStr(RESULTS, ";" & Name(sheet.Cells(1, column).Text) & ";") = 0 Then
                cell = sheet.Cells(row, column).Text
                If cell <> "" Then blank = False
                If column > 1 Then line = line & ","
                line = line & """" & Replace(cell, """", """""") & """"
            End If
        Next column
        If Not blank Then
            places(count) = row
            count = count + 1
            sent = sent & line & vbCrLf
        End If
    Next row
    SheetText = sent
End Function

' A heading without its unit; a column without a heading is no answer's.
Private Function Name(ByVal heading As String) As String
    Name = heading
    If InStr(heading, " (") > 0 Then Name = Left$(heading, InStr(heading, " (") - 1)
    If Name = "" Then Name = "-"
End Function

' Writes the answer, and colours the cells that have a fault.
Private Function Written(ByRef places() As Long, ByVal body As String) As String
    Dim sheet As Object, heading As Collection, cells As Collection, place As Long, table As Long, column As Long
    Dim at As Long, good As Long, bad As Long, fault As Variant
    Set sheet = Sheets("schedule")
    place = 1
    Set heading = NextRow(body, place)
    For column = 1 To heading.count
        sheet.Cells(places(0), column).Value = heading(column)
    Next column
    Do While place <= Len(body)
        Set cells = NextRow(body, place)
        If cells.count < 2 Then Exit Do
        table = table + 1
        For column = 1 To cells.count
            With sheet.Cells(places(table), column)
                .Interior.ColorIndex = -4142      ' xlColorIndexNone
                If InStr(NUMBERS, ";" & Name(heading(column)) & ";") > 0 And cells(column) <> "" Then
                    .NumberFormat = "General"
                    .Value = Val(cells(column))
                Else
                    .NumberFormat = "@"
                    If Left$(cells(column), 2) = "'=" Then .Value = Mid$(cells(column), 2) Else .Value = cells(column)
                End If
            End With
            If Name(heading(column)) = "price" And cells(column) <> "" Then good = good + 1
        Next column
        If cells(cells.count) <> "" Then
            For Each fault In Split(cells(cells.count), " | ")
                bad = bad + 1
                For at = 1 To heading.count
                    If Left$(fault, Len(heading(at)) + 2) = heading(at) & ": " Then
                        sheet.Cells(places(table), at).Interior.Color = FAULTY
                    End If
                Next at
            Next fault
        End If
    Loop
    Written = good & " priced, " & bad & " faults"
End Function

' The cells of the row of CSV at a place, which moves on to the next.
Private Function NextRow(ByVal text As String, ByRef place As Long) As Collection
    Dim cells As New Collection, cell As String, sign As String, quoted As Boolean, ended As Boolean
    Do While Not ended
        sign = Mid$(text, place, 1)
        place = place + 1
        If quoted And sign <> "" Then
            If sign <> """" Then
                cell = cell & sign
            ElseIf Mid$(text, place, 1) = """" Then
                cell = cell & sign
                place = place + 1
            Else
                quoted = False
            End If
        ElseIf sign = """" Then
            quoted = True
        ElseIf sign = "," Or sign = vbLf Or sign = "" Then
            cells.Add cell
            cell = ""
            ended = (sign <> ",")
        ElseIf sign <> vbCr Then
            cell = cell & sign
        End If
    Loop
    Set NextRow = cells
End Function

' The first text member of that name in JSON, from a place on. Enough for numbers, amounts and plain sentences.
Private Function Member(ByVal json As String, ByVal wanted As String, ByVal begin As Long) As String
    Dim place As Long, ending As Long
    place = InStr(begin, json, """" & wanted & """:""")
    If place = 0 Then Exit Function
    place = place + Len(wanted) + 4
    ending = place
    Do While ending <= Len(json) And Mid$(json, ending, 1) <> """"
        If Mid$(json, ending, 1) = "\" Then ending = ending + 1
        ending = ending + 1
    Loop
    Member = Replace(Mid$(json, place, ending - place), "\""", """")
End Function

Private Function Posted(ByVal path As String, ByVal once As String, ByVal sent As String) As Object
    Dim request As Object
    Set request = CreateObject("MSXML2.ServerXMLHTTP.6.0")
    request.Open "POST", Setting(1) & path, False
    request.setRequestHeader "Authorization", "Bearer " & Setting(2)
    request.setRequestHeader "Content-Type", "text/csv; charset=utf-8"
    If once <> "" Then request.setRequestHeader "Idempotency-Key", once
    request.send BytesOf(sent)
    Set Posted = request
End Function

' Text as bytes of UTF-8, without the mark that the stream puts before them.
Private Function BytesOf(ByVal text As String) As Byte()
    With CreateObject("ADODB.Stream")
        .Type = AS_TEXT
        .Charset = "utf-8"
        .Open
        .WriteText text
        .Position = 0
        .Type = AS_BYTES
        .Position = 3
        BytesOf = .Read
        .Close
    End With
End Function

' The body of an answer, which is UTF-8.
Private Function TextOf(ByVal answer As Object) As String
    With CreateObject("ADODB.Stream")
        .Type = AS_BYTES
        .Open
        .Write answer.responseBody
        .Position = 0
        .Type = AS_TEXT
        .Charset = "utf-8"
        TextOf = .ReadText
        .Close
    End With
End Function

' Text as it may stand in an address: everything but letters, digits and a few signs as %XX of UTF-8.
Private Function Escaped(ByVal text As String) As String
    Dim found() As Byte, place As Long, code As Long, made As String
    found = BytesOf(text)
    For place = LBound(found) To UBound(found)
        code = found(place)
        Select Case code
            Case 48 To 57, 65 To 90, 97 To 122, 45, 46, 95
                made = made & Chr$(code)
            Case Else
                made = made & "%" & Right$("0" & Hex$(code), 2)
        End Select
    Next place
    Escaped = made
End Function
