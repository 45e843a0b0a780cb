# Completion of endsmeet for fish. The program is asked what could come next; it
# only reads.
function __endsmeet_complete
    set -l words (commandline -opc)
    set -l now (commandline -ct)
    for line in (endsmeet __complete fish $words[2..-1] "$now" 2>/dev/null)
        switch $line
            case \tfiles
                __fish_complete_path "$now"
            case \tfolders
                __fish_complete_directories "$now"
            case '*'
                echo $line
        end
    end
end
complete -c endsmeet -f -a '(__endsmeet_complete)'
