# Completion of endsmeet for PowerShell. The program is asked what could come
# next; it only reads.
Register-ArgumentCompleter -Native -CommandName endsmeet -ScriptBlock {
    param($now, $ast, $at)
    $before = @($ast.CommandElements | Select-Object -Skip 1 |
        Where-Object { $_.Extent.EndOffset -lt $at } | ForEach-Object {
            if ($_ -is [System.Management.Automation.Language.StringConstantExpressionAst]) { $_.Value } else { $_.Extent.Text }
        })
    $typed = $now.Trim("'", '"')
    # An empty word would be left out by some versions: a sign stands before the last. What
    # the program writes is UTF-8.
    $was = [Console]::OutputEncoding
    [Console]::OutputEncoding = [System.Text.Encoding]::UTF8
    $offered = @(endsmeet __complete powershell @before "=$typed" 2>$null)
    [Console]::OutputEncoding = $was
    $offered | ForEach-Object {
        $value, $about = $_ -split "`t", 2
        if ($value) {
            $text = if ($value -match '[^\w.=,/%@+-]') { "'" + $value.Replace("'", "''") + "'" } else { $value }
            $help = if ($about) { $about } else { $value }
            [System.Management.Automation.CompletionResult]::new($text, $value, 'ParameterValue', $help)
        }
    }
}
